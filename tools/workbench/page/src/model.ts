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

export interface Job {
  id: string;
  state: "waiting" | "running" | "done" | "failed" | "cancelled";
  kind: "analyse" | "correct";
  title: string;
  clip: string | null;
  log: string | null;
  made_at: string;
  step: string;
  fraction: number | null;
  seconds_left: number | null;
  session: string | null;
  error: Failure | null;
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

export interface Worked {
  value: number;
  interval: [number, number] | null;
}

export interface ProfileReply {
  lifter: string;
  lift: string;
  bar: string;
  box_height_m: number | null;
  accommodating: string;
  points: { session: string; day: string; load_kg: number; velocity_mps: number; sigma_mps: number; outlier: boolean }[];
  line: { load_kg: number; velocity_mps: number; line: [number, number]; set: [number, number]; outside: boolean }[] | null;
  no_line: string;
  pooled_lifters: number;
  assumed_scatter: boolean;
  best_single_kg: number | null;
  force_velocity: { f0_n: Worked; v0_mps: Worked; pmax_w: Worked; best_load_kg: Worked; best_mps: number } | null;
  notes: Note[];
}

export interface ZoneReply {
  lifter: string;
  lift: string;
  bar: string;
  box_height_m: number | null;
  accommodating: string;
  from_kg: Worked | null;
  to_kg: Worked | null;
  velocity_mps: [number, number] | null;
  words: string;
  club_rule_kg: [number, number] | null;
  notes: Note[];
}

export interface Loading {
  lifter: string;
  load_kg: number;
  unit: "kg" | "lb";
  discs: string;
  exact: boolean;
  set_up: string;
  sets: number;
  reps: number;
  bottom_kg: number | null;
  mean_kg: number | null;
  top_kg: number | null;
  expected_mps: Measured;
  move: "hold" | "raise" | "lower";
  why: string;
  notes: Note[];
}

export interface PlanReply {
  days: { day: string; lift: string; asked: string; rest_s: number | null; loadings: Loading[]; notes: Note[] }[];
  specials: { day: string; exercise: string; turn_week: number; turn_weeks: number }[];
  accessories: { sessions: { day: string; name: string; kind: string; load_kg: number; distance_m: number; times: number; work_kg_m: number }[]; work_kg_m: number } | null;
  rule: string;
  notes: Note[];
}

export interface ChangeReply {
  difference_mps: number;
  half_width_mps: number;
  words: string;
}

export interface CompareReply {
  lifts: string[];
  lift: string;
  waves: { name: string; from: string; to: string }[];
  comparison: {
    before: string;
    after: string;
    team: ChangeReply;
    lifters: ({ lifter: string; load_kg: number; before_mps: number; after_mps: number; sessions_before: number; sessions_after: number } & ChangeReply)[];
    worthwhile_mps: number;
    typical_error_mps: number;
    notes: Note[];
  } | null;
  why_not?: string;
}
