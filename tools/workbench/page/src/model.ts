/** What the server tells, in its own words and units: SI, the unit in the name. */

export type Measured = { value: number; lo: number; hi: number } | { not_measured: string };

export interface Failure {
  code: string;
  where: string;
  what: string;
  mend: string;
}

export interface Rep {
  set: number;
  rep: number;
  kind: "full" | "partial" | "failed";
  start_s: number;
  end_s: number;
  bottom_height_m: number;
  top_height_m: number;
  mean_velocity_mps: Measured;
  peak_velocity_mps: Measured;
  rom_m: Measured;
  velocity_loss: Measured;
  concentric_s: Measured;
  eccentric_s: Measured;
  pause_s: Measured;
  bottom_load_kg: Measured;
  mean_load_kg: Measured;
  top_load_kg: Measured;
  mean_force_n: Measured;
  peak_force_n: Measured;
  mean_power_w: Measured;
  sticking_from_height: Measured;
  sticking_low_height: Measured;
  second_peak_height: Measured;
  sticking_from_s: Measured;
  second_peak_s: Measured;
  flags: string[];
}

export interface Finding {
  set: number;
  rep: number;
  kind: string;
  certainty: string;
  evidence: string;
}

export interface Note {
  kind: "caution" | "decision";
  text: string;
}

export interface Plan {
  sheet: string;
  row: number;
  lifter: string;
  lift: string;
  bar: string;
  box_height_m: number | null;
  stated_load_kg: number;
  stated_in: "kg" | "lb";
  set: number | null;
  planned_reps: number | null;
  start: string;
  notes: string;
  best_single_kg: number | null;
}

export interface GearOnBar {
  name: string;
  strands?: number;
  count?: number;
}

export interface Samples {
  t_s: number[];
  height_m: number[];
  velocity_mps: number[];
  velocity_sigma_mps: number[];
  measured: boolean[];
}

export interface Session {
  provenance: { program_version: string; analysed_at: string; source_name: string };
  clip: { width_px: number; height_px: number; pixel_aspect: number; frame_rate_hz: number; duration_s: number | null } | null;
  log: { name: string; rate_hz: number } | null;
  options: {
    disc_diameter_m: number;
    threshold_mps: number;
    slowed_loss: number;
    zone_mps: [number, number] | null;
    loading: { chains?: GearOnBar[]; bands?: GearOnBar[] } | null;
  };
  notes: Note[];
  plan: Plan | null;
  reps: Rep[];
  findings: Finding[];
  samples: Samples;
}

/** A row of the set table as the command line prints it. */
export interface TableRow {
  set: number;
  rep: number;
  start: string;
  mean_velocity: string;
  peak_velocity: string;
  range: string;
  loss: string;
  flags: string[];
}

export interface Correction {
  number: number;
  at: string;
  kind: string;
  words: string;
  undone: boolean;
  id: string;
}

export interface About {
  id: string;
  newest: string;
  replaced_by: string | null;
  frames: number;
  width_px: number;
  height_px: number;
  can_undo: boolean;
  clip_file: string | null;
  log_file: string | null;
  corrections: Correction[];
  /** The whole day that the set was cut out of. */
  day_recording: string | null;
  rows: TableRow[];
  set_sentences: string[];
  finding_sentences: string[];
  cautions: string;
}

/** The disc's rim, picture by picture: columns of equal length. */
export interface Disc {
  frame: number[];
  t_s: number[];
  sighting: ("seen" | "coasted" | "lost")[];
  x_px: number[];
  y_px: number[];
  half_width_px: number[];
  half_height_px: number[];
  tilt: number[];
}

export interface Summary {
  id: string;
  source: string;
  day: string;
  analysed_at: string;
  lifter: string;
  lift: string;
  bar: string;
  accommodating: string;
  load_kg: number | null;
  unit: "kg" | "lb";
  start: string;
  sets: number;
  reps: number;
  fastest_mps: number | null;
  corrected: boolean;
  clip: boolean;
}

/** One of several files of a whole day; those of one camera or logger share its number. */
export interface DayRecording {
  name: string;
  camera: number;
}

export interface Job {
  id: string;
  state: "waiting" | "running" | "done" | "failed" | "cancelled";
  kind: "analyse" | "correct" | "day";
  title: string;
  clip: string | null;
  log: string | null;
  recordings: DayRecording[];
  sheet: string | null;
  made_at: string;
  step: string;
  fraction: number | null;
  seconds_left: number | null;
  session: string | null;
  error: Failure | null;
}

/** All files that a job reads. */
export const filesOf = (j: Job) => [j.clip, j.log, ...j.recordings.map((r) => r.name)].filter((n): n is string => n !== null);

/** What the server calls the day that a job works out. */
export const dayNameOf = (j: Job) => (j.recordings.length ? `${j.recordings[0]!.name} and ${j.recordings.length - 1} more` : (j.clip ?? j.log));

/** A whole day, as the list shows it. */
export interface DaySummary {
  name: string;
  sheet: string;
  held_on: string | null;
  sets: number;
  doubtful: number;
  missed: number;
}

/** A row of the sheet, in the order in which they were to be lifted. */
export interface PlannedRow {
  row: number;
  lifter: string;
  lift: string;
  load: string;
  start: string;
  set: number | null;
  planned_reps: number | null;
}

export interface FoundSet {
  number: number;
  begins: string;
  /** The session that counts now; null when it is gone. */
  session: string | null;
  row: number | null;
  match: string;
  certainty: "certain" | "likely" | "doubtful";
  corrected: boolean;
  against: string[];
  alternatives: { row: number | null; words: string }[];
  like: string | null;
  reps: number;
  flags: string[];
  /** The coach's word on file; `row` null: nobody's. */
  told: { row: number | null } | null;
}

export interface DayReply {
  name: string;
  sheet: string;
  sheet_there: boolean;
  sheet_changed: boolean;
  day: { held_on: string | null; rows: PlannedRow[]; sets: FoundSet[]; missed: number[]; notes: Note[] };
}

export interface StoredFile {
  name: string;
  kind: "clip" | "log";
  bytes: number;
  modified_s: number;
  sessions: string[];
}

export interface Upload {
  id: string;
  name: string;
  bytes: number;
  offset: number;
  chunk_bytes: number;
  file?: string | null;
}

/** Who lifted what: a row of a sheet, or by hand. */
export type SetChoice =
  | { sheet: string; row?: number }
  | {
      lifter: string;
      lift: string;
      load_kg?: number;
      load_lb?: number;
      bar?: string;
      box_height_cm?: number;
      chains?: string;
      bands?: string;
      set?: number;
      time?: string;
      reps?: number;
      notes?: string;
    };

export interface State {
  version: string;
  logbook: string;
  lan: boolean;
  empty: boolean;
  sample_day: boolean;
  /** Which pages over many sessions the server can fill. */
  can?: string[];
  free_bytes: number;
  upload: { largest_bytes: number; chunk_bytes: number };
  addresses: string[];
  options: Record<string, { default: number; least: number; greatest: number } | undefined>;
}

export interface LiftEntry {
  lift: string;
  bar: string | null;
  box_height_m: number | null;
  best_single_kg?: number | null;
  zone_mps?: [number, number] | null;
}

export interface Club {
  name: string;
  unit: "kg" | "lb";
  lifters: { name: string; lifts: LiftEntry[] }[];
  bars: { name: string; mass_kg: number; limit_kg?: number | null }[];
  chains: { name: string; count: number | null }[];
  bands: { name: string; count: number | null }[];
  discs: { mass_kg: number; count: number }[];
  racks?: { name: string; limit_kg: number }[];
  thresholds: {
    slowed_loss?: number;
    below_expected_mps?: number;
    zone_mps?: [number, number] | null;
    high_bottom_m?: number;
    uneven_pause_s?: number;
  };
}

export interface RosterReply {
  text: string;
  revision: string;
  error: Failure | null;
  club: Club | null;
}

export interface SheetRow {
  row: number;
  words: string;
  lifter: string;
  lift: string;
  bar: string;
  box_height_m: number | null;
  load_kg: number;
  unit: "kg" | "lb";
  set: number | null;
  start: string;
  reps: number | null;
  notes: string;
  clip: string;
}

export interface SheetReply {
  name: string;
  text: string;
  revision: string;
  rows: SheetRow[];
  problems: { row: number; column: string; what: string; mend: string }[];
  notes: Note[];
  check: string;
}

export interface HistorySet {
  session: string;
  day: string;
  start: string;
  lifter: string;
  lift: string;
  bar: string;
  box_height_m: number | null;
  accommodating: string;
  stated_load_kg: number;
  unit: "kg" | "lb";
  set: number;
  reps: Rep[];
}

/** Worked out from a line; an end of the 95 % interval is null where it has none. */
export interface Worked {
  value: number;
  lo: number | null;
  hi: number | null;
}

/** What was measured, with its 95 % interval. */
export interface Known {
  value: number;
  lo: number;
  hi: number;
}

export interface HungLoad {
  bar_kg: number;
  bottom_kg: number;
  mean_kg: number;
  top_kg: number;
  discs_a_side: string | null;
}

export interface Zone {
  state: "fixed" | "apart" | "unsure" | "no line";
  low?: { load_kg: Worked; velocity_mps: number };
  high?: { load_kg: Worked; velocity_mps: number };
  loads: { accommodating: string; lightest: HungLoad | null; most_power: HungLoad | null; heaviest: HungLoad | null }[];
  words: string[];
}

/** As the command line's JSON of a profile; `zone` stands in it when the zone was asked for. */
export interface Profile {
  lifter: string;
  lift: string;
  bar: string;
  box_height_m: number | null;
  accommodating: string;
  points: { session: string; day: string; load_kg: number; velocity_mps: Known; set_aside: boolean }[];
  predictions: { load_kg: number; line_mps: Known; set_mps: Known; beyond_lifted: boolean }[];
  force_velocity: { f0_n: Worked; v0_mps: Worked; pmax_w: Worked; best_load_kg: Worked; best_mps: number } | null;
  best_single: { caution: string };
  words: string[];
  notes: string[];
  zone?: Zone;
}

export interface ProfilesReply {
  profiles: Profile[];
  notes: Note[];
}

export interface Loading {
  lifter: string;
  load_kg: number;
  discs_a_side: { mass_kg: number; stamped: string; count: number }[];
  exact: boolean;
  set_up: string;
  bottom_load_kg: number | null;
  mean_load_kg: number | null;
  top_load_kg: number | null;
  expected_mps: Known | null;
  move: "hold" | "raise" | "lower";
  move_words: string;
  why: string;
}

export interface PlanDay {
  date: string;
  lift: string;
  session_words: string;
  sets_words: string;
  meet: string;
  days_to_meet: number | null;
  loadings: Loading[];
  notes_once: Note[];
}

export interface PlanReply {
  days: PlanDay[];
  special_exercises: { date: string; exercise: string; turn_week: number; turn_weeks: number }[];
  accessory_work: { date: string; name: string; day: string; load_kg: number; distance_m: number; times: number; work_kg_m: number }[];
  accessory_work_kg_m: number;
  accessory_notes: Note[];
  rule: string;
  notes: Note[];
  caution: string;
}

export interface Change extends Known {
  word: string;
}

export interface Comparison {
  before: { name: string };
  after: { name: string };
  team_difference_mps: Change;
  lifters: { lifter: string; load_kg: number; before_mps: number; after_mps: number; sessions_before: number; sessions_after: number; difference_mps: Change }[];
  smallest_worthwhile_mps: number;
  typical_error_mps: number;
  notes: string[];
  sessions_against_the_one_before: Comparison[];
}

export interface CompareReply {
  lifts: string[];
  lift: string;
  waves: { name: string; from: string; to: string }[];
  comparison: Comparison | null;
  why_not: Failure | null;
}
