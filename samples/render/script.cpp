#include "samples/render/script.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include "samples/render/dice.h"
#include "samples/render/fall.h"

namespace render {
namespace {

constexpr double kGravity_mps2 = 9.80665;
constexpr double kOnFloor_m = 0.225;  // half a large disc
constexpr double kRackLip_m = 0.05;   // the hooks' depth: how far the bar is lifted out

std::shared_ptr<const Shape> shape_named(const std::string& name) {
  if (name == "smooth") return minimum_jerk();
  if (name == "grinder") return two_humps(0.82, 0.45, 0.16);
  if (name == "early") return skewed(1.6, 3.0);
  if (name == "late") return skewed(3.0, 1.6);
  if (name == "speed") return skewed(2.0, 1.25);
  throw std::invalid_argument("shape \"" + name +
                              "\" does not exist; use smooth, grinder, early, late or speed");
}

// Writes one set into the curves; `t` is the running time.
class SetWriter {
 public:
  SetWriter(const SetSpec& spec, const MotionSpec& all, int number, BarMotion& out, Dice& dice)
      : spec_(spec),
        all_(all),
        lift_(facts_of(spec.lift)),
        number_(number),
        out_(out),
        dice_(dice),
        t_(out.end_s) {
    top_ = spec.top_height_m.value_or(lift_.top_height_m);
    rom_ = spec.rom_m.value_or(lift_.rom_m);
  }

  // Where the bar is before the set.
  double start_height() const {
    if (spec_.lift == "deadlift") return kOnFloor_m;
    if (lift_.starts_low) return top_ - rom_;
    return lift_.racked && spec_.walk_out ? top_ - kRackLip_m : top_;
  }
  double start_aside() const { return lift_.racked && spec_.walk_out ? lift_.walk_m : 0.0; }

  void write() {
    if (number_ > 1) move_to_start();
    t_ += spec_.before_s;
    if (lift_.racked && spec_.walk_out) take_out();
    const double sway_from = t_ - 0.5;
    for (int rep = 1; rep <= spec_.reps; ++rep) {
      if (lift_.starts_low)
        pull_up(rep);
      else
        lower_and_lift(rep);
      if (ended_) break;
    }
    sway(sway_from, t_);
    if (lift_.racked && spec_.walk_out && !ended_) put_back();
    t_ += spec_.after_s;
    out_.end_s = t_;
  }

 private:
  double duration(int rep) {
    const double base = spec_.concentric_s.value_or(lift_.concentric_s);
    return base * std::pow(1.0 + spec_.slowing, rep - 1) * (1.0 + dice_.around(spec_.variation));
  }
  double range() { return rom_ * (1.0 + dice_.around(spec_.variation)); }
  std::string kind_of(int rep) const {
    const bool cut = std::count(spec_.partial_reps.begin(), spec_.partial_reps.end(), rep) > 0;
    if (cut) return "partial";
    if (rep == spec_.reps && spec_.last_rep != "grinder") return spec_.last_rep;
    return "full";
  }
  std::string shape_of(int rep) const {
    return rep == spec_.reps && spec_.last_rep == "grinder" ? "grinder" : spec_.shape;
  }

  // Another lift starts from other hooks, or from the floor: the bar is carried there in the rest.
  void move_to_start() {
    const double from = t_ + 0.3 * spec_.before_s, to = from + std::min(4.0, 0.4 * spec_.before_s);
    const double height = start_height(), aside = start_aside();
    constexpr double kThere_m = 0.001;
    if (std::abs(out_.height.last() - height) > kThere_m) out_.height.move(from, to, height);
    if (std::abs(out_.x.last() - aside) > kThere_m) out_.x.move(from, to, aside);
  }

  void touch(Contact::With with, double later_s = 0.0) {
    out_.contacts.push_back({.at_s = t_ + later_s, .with = with});
  }

  void take_out() {
    out_.contacts.push_back({.at_s = t_, .with = Contact::With::kHooks, .leaves = true});
    out_.height.move(t_, t_ + 0.8, top_);
    t_ += 1.0;
    const double walk_s = lift_.lying ? 0.9 : 1.8;
    out_.x.move(t_, t_ + walk_s, 0.0);
    if (!lift_.lying) out_.height.wobble(t_, t_ + walk_s + 0.6, 0.008, 1.7, 0.4);
    t_ += walk_s + 1.0;
  }

  void put_back() {
    t_ += 0.5;
    const double walk_s = lift_.lying ? 0.9 : 1.6;
    out_.x.move(t_, t_ + walk_s, lift_.walk_m);
    if (!lift_.lying) out_.height.wobble(t_, t_ + walk_s + 0.3, 0.008, 1.7, 0.9);
    t_ += walk_s + 0.2;
    out_.height.move(t_, t_ + 0.6, top_ - kRackLip_m);
    t_ += 0.6;
    touch(Contact::With::kHooks);
  }

  void lower_and_lift(int rep) {
    const std::string kind = kind_of(rep);
    const double down_s =
        spec_.eccentric_s.value_or(lift_.eccentric_s) * (1.0 + dice_.around(spec_.variation));
    const double up_s = duration(rep);
    const double drop = range();
    const double pause = spec_.pause_s.value_or(lift_.pause_s);
    const bool turns = pause <= 0.0;
    RepMark mark{.set = number_, .rep = rep, .kind = kind};

    const double bottom = out_.height.last() - drop;
    // A turn without a stop keeps its acceleration; 12 of the 20 at which the shape would overrun.
    const double slow = std::max(down_s, up_s);
    const double push = std::min(6.0, 12.0 * drop / (slow * slow));
    mark.descent_start_s = t_;
    mark.descent_end_s = t_ + down_s;
    out_.height.move(t_,
                     t_ + down_s,
                     bottom,
                     turns ? turning(0.0, -push * down_s * down_s / drop) : minimum_jerk());
    const double aside = lift_.lying ? spec_.sideways_m : 0.012 * (lift_.overhead ? 4.0 : 1.0);
    out_.x.move(t_, t_ + down_s, out_.x.last() - aside);
    t_ += down_s;
    if (spec_.lift == "box_squat") touch(Contact::With::kBox);
    if (!turns) sit(pause);
    t_ += std::max(0.0, pause);

    mark.rise_start_s = t_;
    if (kind == "failed") {
      fail(mark, drop, up_s);
      return;
    }
    const double gain = kind == "partial" ? 0.55 * drop : drop;
    const double scale = kind == "partial" ? 0.7 : 1.0;
    auto shape = shape_named(shape_of(rep));
    if (turns) {
      if (shape_of(rep) == "smooth") {
        shape = turning(push * up_s * scale * up_s * scale / gain, 0.0);
      } else {
        // Other shapes start from rest: let the bar come to rest first.
        shape = blend_turn(push, up_s * scale, gain, shape);
      }
    }
    out_.height.move(t_, t_ + up_s * scale, bottom + gain, shape);
    out_.x.move(t_ + 0.1 * up_s, t_ + up_s * scale, out_.x.last() + aside);
    t_ += up_s * scale;
    mark.rise_end_s = t_;
    out_.reps.push_back(mark);
    if (kind == "partial") {
      // Down again and up in full, so that the set goes on from the top.
      t_ += 0.15;
      out_.height.move(t_, t_ + 0.6 * down_s, bottom);
      t_ += 0.6 * down_s + 0.25;
      RepMark again{.set = number_, .rep = rep, .kind = "full"};
      again.descent_start_s = t_ - 0.6 * down_s - 0.25;
      again.descent_end_s = t_ - 0.25;
      again.rise_start_s = t_;
      out_.height.move(t_, t_ + up_s, bottom + drop);
      t_ += up_s;
      again.rise_end_s = t_;
      out_.reps.push_back(again);
    }
    t_ += std::max(0.15, spec_.rest_s.value_or(lift_.rest_s) + dice_.around(0.08));
  }

  // A sum of the asked shape and the quintic that carries the turn's acceleration away.
  static std::shared_ptr<const Shape> blend_turn(double push,
                                                 double up_s,
                                                 double gain,
                                                 const std::shared_ptr<const Shape>& shape) {
    class Blend : public Shape {
     public:
      Blend(double a0, std::shared_ptr<const Shape> s)
          : turn_(turning(a0, 0.0)), base_(minimum_jerk()), shape_(std::move(s)) {}
      Jet at(double s) const override {
        const Jet a = turn_->at(s), b = base_->at(s), c = shape_->at(s);
        return {a.value - b.value + c.value, a.rate - b.rate + c.rate, a.accel - b.accel + c.accel};
      }

     private:
      std::shared_ptr<const Shape> turn_, base_, shape_;
    };
    return std::make_shared<const Blend>(push * up_s * up_s / gain, shape);
  }

  // Up a little, a standstill, and down to the safeties, where the set ends.
  void fail(RepMark mark, double drop, double up_s) {
    const double bottom = out_.height.last();
    out_.height.move(t_, t_ + 0.7 * up_s, bottom + 0.35 * drop, skewed(1.6, 3.0));
    t_ += 0.7 * up_s;
    mark.rise_end_s = t_;
    out_.reps.push_back(mark);
    t_ += 0.4;
    out_.height.move(t_, t_ + 1.1, bottom - 0.02);
    t_ += 1.1;
    touch(spec_.lift == "deadlift" ? Contact::With::kFloor : Contact::With::kSafeties);
    ended_ = true;
  }

  void sit(double pause) {
    if (spec_.lift != "box_squat" || pause < 0.4) return;
    // Slow enough that it never passes the threshold: 2π · 0.7 Hz · 3 mm = 0.013 m/s.
    out_.height.wobble(t_, t_ + pause, spec_.rock_m, 0.7, dice_.uniform(0.0, 6.0));
    out_.x.wobble(t_, t_ + pause, 4.0 * spec_.rock_m, 0.6, dice_.uniform(0.0, 6.0));
  }

  void pull_up(int rep) {
    RepMark mark{.set = number_, .rep = rep, .kind = kind_of(rep)};
    const double floor = out_.height.last();
    const double up_s = duration(rep), rise = range();
    mark.descent_start_s = mark.descent_end_s = mark.rise_start_s = t_;
    if (mark.kind == "failed") {
      fail(mark, rise, up_s);
      return;
    }
    const double gain = mark.kind == "partial" ? 0.5 * rise : rise;
    out_.height.move(t_, t_ + up_s, floor + gain, shape_named(shape_of(rep)));
    out_.x.move(t_, t_ + up_s, out_.x.last() - 0.03);
    t_ += up_s;
    mark.rise_end_s = t_;
    out_.reps.push_back(mark);
    t_ += (spec_.lift == "row" ? 0.12 : 0.5) + std::abs(dice_.around(0.1));
    set_down(floor);
    t_ += std::max(0.3, spec_.rest_s.value_or(lift_.rest_s) + dice_.around(0.1));
  }

  void set_down(double floor) {
    const bool deadlift = spec_.lift == "deadlift";
    if (spec_.lowering == "dropped" && deadlift) {
      const Fall drop = fall(out_.height.last() - floor, dice_.uniform(0.7, 0.95) * kGravity_mps2);
      out_.height.move(t_, t_ + drop.length_s, floor, drop.shape);
      out_.x.move(t_, t_ + drop.length_s, out_.x.last() + 0.03);
      touch(Contact::With::kFloor, drop.lands_s);
      t_ += drop.length_s;
      return;
    }
    const double down_s = spec_.eccentric_s.value_or(lift_.eccentric_s);
    out_.height.move(t_, t_ + down_s, floor, skewed(2.0, 1.3));
    out_.x.move(t_, t_ + down_s, out_.x.last() + 0.03);
    t_ += down_s;
    if (deadlift) touch(Contact::With::kFloor);
  }

  void sway(double from, double to) {
    if (lift_.lying || lift_.starts_low || to - from < 1.0) return;
    for (const double f : {0.3, 0.55, 0.8}) {
      out_.x.wobble(from,
                    to,
                    all_.sway_m * dice_.uniform(0.3, 0.7),
                    f * dice_.uniform(0.9, 1.1),
                    dice_.uniform(0.0, 6.28));
      // Standing still the bar hardly moves up and down: at most 0.004 m/s in all.
      out_.height.wobble(from, to, 0.1 * all_.sway_m, f, dice_.uniform(0.0, 6.28));
    }
  }

  const SetSpec& spec_;
  const MotionSpec& all_;
  LiftFacts lift_;
  int number_;
  BarMotion& out_;
  Dice& dice_;
  double t_, top_ = 0.0, rom_ = 0.0;
  bool ended_ = false;
};

}  // namespace

LiftFacts facts_of(const std::string& lift) {
  //                        top   rom  up   down pause rest  low  racked lying overhead walk
  if (lift == "squat") return {1.44, 0.62, 1.0, 1.2, 0.0, 1.0, false, true, false, false, 0.45};
  if (lift == "box_squat") return {1.44, 0.50, 0.8, 1.2, 1.0, 1.0, false, true, false, false, 0.45};
  if (lift == "bench") return {1.05, 0.33, 0.8, 1.0, 0.6, 0.8, false, true, true, false, 0.16};
  if (lift == "deadlift") return {0.75, 0.52, 1.1, 0.8, 0.0, 1.0, true, false, false, false, 0.0};
  if (lift == "press") return {1.98, 0.56, 0.9, 1.0, 0.3, 0.8, true, false, false, true, 0.0};
  if (lift == "row") return {0.95, 0.40, 0.7, 0.8, 0.2, 0.5, true, false, false, false, 0.0};
  throw std::invalid_argument("lift \"" + lift +
                              "\" does not exist; use squat, box_squat, bench, "
                              "deadlift, press or row");
}

BarMotion script_motion(const MotionSpec& spec, std::uint64_t seed) {
  if (spec.sets.empty()) throw std::invalid_argument("a clip needs at least one set");
  Dice dice(seed);
  BarMotion out;
  const SetWriter first(spec.sets.front(), spec, 1, out, dice);
  out.height = Curve(first.start_height());
  out.x = Curve(first.start_aside());
  int number = 0;
  for (const SetSpec& set : spec.sets) SetWriter(set, spec, ++number, out, dice).write();
  if (spec.depth_drift_m != 0.0)
    out.depth.wobble(0.0, out.end_s, spec.depth_drift_m, 0.08, dice.uniform(0.0, 6.28));
  return out;
}

}  // namespace render
