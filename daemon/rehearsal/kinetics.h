#pragma once

#include <memory>
#include <optional>

namespace gyle {

// How fast a beer ferments. The fall is a fraction of the nominal one: 0 at the pitch, 1 at the nominal final
// gravity, above 1 below it.
class Kinetics {
 public:
  virtual ~Kinetics() = default;
  virtual void advance(double hours, double celsius) = 0;  // hours in (0, 1/6]
  virtual double fallen() const = 0;
};

// A five-parameter logistic over thermal time, with an optional slow share at the end.
//   source  form of ASBC Yeast-14 (Speers, Rogers and Smith 2003); asymmetry as in NIST StRD Rat43
struct SigmoidShape {
  double midpoint_h = 40.0;       // time of half the fall, at the reference temperature
  double steepness_per_h = 0.10;  // |B|
  double asymmetry = 1.0;         // s; 1 is the four-parameter curve
  double slow_share = 0.0;        // of the fall, [0, 1)
  double slow_factor = 4.0;       // by which that share is slower
  double reference_celsius = 20.0;
  double q10 = 2.2;
};

class SigmoidKinetics final : public Kinetics {
 public:
  explicit SigmoidKinetics(const SigmoidShape& shape) : shape_(shape) {}
  void advance(double hours, double celsius) override;
  double fallen() const override;

 private:
  double remaining(double midpoint_h, double steepness_per_h) const;
  SigmoidShape shape_;
  double thermal_h_ = 0.0;
};

// When yeast stops although sugar is left.
struct Halt {
  std::optional<double> gives_up_at;           // fraction fallen at which it gives up
  std::optional<double> too_cold_below;        // degC below which it stops ...
  double wakes_above = 100.0;                  // ... and above which it resumes
  double settling_h = 4.0;                     // time constant of stopping and resuming
  std::optional<double> gives_up_wakes_above;  // degC above which yeast that gave up resumes
};

// Stops and resumes any kinetics.
class HaltingKinetics final : public Kinetics {
 public:
  HaltingKinetics(std::unique_ptr<Kinetics> inner, const Halt& halt)
      : inner_(std::move(inner)), halt_(halt) {}
  void advance(double hours, double celsius) override;
  double fallen() const override { return inner_->fallen(); }

 private:
  std::unique_ptr<Kinetics> inner_;
  Halt halt_;
  double activity_ = 1.0;
  bool stopped_ = false;
  bool resumed_ = false;
};

// Delays any kinetics: no activity during `lag_h` at 20 degC, then it rises over a few hours. Cold lengthens
// the lag.
class LaggingKinetics final : public Kinetics {
 public:
  LaggingKinetics(std::unique_ptr<Kinetics> inner, double lag_h) : inner_(std::move(inner)), lag_h_(lag_h) {}
  void advance(double hours, double celsius) override;
  double fallen() const override { return inner_->fallen(); }

 private:
  std::unique_ptr<Kinetics> inner_;
  double lag_h_;
  double waited_h_ = 0.0;
};

// Adds a slow fall below the nominal final gravity, as wild yeast or an enzyme causes it. It begins at nine
// tenths of the nominal fall, at `per_day`, and slows towards a total of `extra` (both fractions of the
// nominal fall).
class CreepingKinetics final : public Kinetics {
 public:
  CreepingKinetics(std::unique_ptr<Kinetics> inner, double extra, double per_day)
      : inner_(std::move(inner)), extra_(extra), per_day_(per_day) {}
  void advance(double hours, double celsius) override;
  double fallen() const override { return inner_->fallen() + crept_; }

 private:
  std::unique_ptr<Kinetics> inner_;
  double extra_;
  double per_day_;
  double crept_ = 0.0;
};

}  // namespace gyle
