#include "simulation/kinetic_families.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

namespace gyle::simulation {
namespace {

constexpr double kReferenceCelsius = 20.0;

// Any falling curve over thermal time.
template <class Curve>
class ThermalKinetics final : public Kinetics {
 public:
  ThermalKinetics(Curve curve, double q10) : curve_(curve), q10_(q10) {}
  void advance(double hours, double celsius) override {
    thermal_h_ += hours * std::pow(q10_, (celsius - kReferenceCelsius) / 10.0);
  }
  double fallen() const override { return curve_(thermal_h_); }

 private:
  Curve curve_;
  double q10_;
  double thermal_h_ = 0.0;
};

template <class Curve>
std::unique_ptr<Kinetics> thermal(Curve curve, double q10) {
  return std::make_unique<ThermalKinetics<Curve>>(curve, q10);
}

struct Gompertz {
  double mu;
  double lambda_h;
  double raw(double t) const { return std::exp(-std::exp(mu * std::numbers::e * (lambda_h - t) + 1.0)); }
  double operator()(double t) const { return (raw(t) - raw(0.0)) / (1.0 - raw(0.0)); }
};

struct TwoExponentials {
  double per_hour;
  double slow_share;
  double slow_factor;
  double operator()(double t) const {
    return 1.0 - (1.0 - slow_share) * std::exp(-per_hour * t) -
           slow_share * std::exp(-per_hour * t / slow_factor);
  }
};

struct Weibull {
  double scale_h;
  double power;
  double operator()(double t) const { return -std::expm1(-std::pow(t / scale_h, power)); }
};

struct LogLogistic {
  double half_h;
  double power;
  double operator()(double t) const {
    const double x = std::pow(std::max(0.0, t) / half_h, power);
    return x / (1.0 + x);
  }
};

struct TwoPhases {
  double second_share;
  double per_hour;
  double second_per_hour;
  double apart_h;
  static double logistic(double t, double per_hour) { return 1.0 / (1.0 + std::exp(-per_hour * t)); }
  double raw(double t) const {
    return (1.0 - second_share) * logistic(t - 40.0, per_hour) +
           second_share * logistic(t - 40.0 - apart_h, second_per_hour);
  }
  double operator()(double t) const { return (raw(t) - raw(0.0)) / (1.0 - raw(0.0)); }
};

// Arrhenius, R in kcal/(mol K).
double arrhenius(double ln_a, double kcal_per_mol, double celsius) {
  return std::exp(ln_a - kcal_per_mol / (1.987e-3 * (celsius + 273.15)));
}

class SequentialSugars final : public Kinetics {
 public:
  explicit SequentialSugars(const Sugars& start) : now_(start), first_(mass(start)) {}

  void advance(double hours, double celsius) override {
    const double v_g = arrhenius(35.77, 22.6, celsius);
    const double v_m = arrhenius(16.40, 11.3, celsius);
    const double v_n = arrhenius(10.59, 7.16, celsius);
    const double k_g = arrhenius(-121.3, -68.6, celsius);
    const double k_m = arrhenius(-19.15, -14.4, celsius);
    const double k_n = arrhenius(-26.78, -19.9, celsius);
    const double held_by_glucose = arrhenius(23.33, 10.2, celsius);
    const double held_by_maltose = arrhenius(55.61, 26.3, celsius);
    const double free_of_glucose = held_by_glucose / (held_by_glucose + now_.glucose);
    const double free_of_maltose = held_by_maltose / (held_by_maltose + now_.maltose);
    const double mu_g = v_g * now_.glucose / (k_g + now_.glucose);
    const double mu_m = v_m * now_.maltose / (k_m + now_.maltose) * free_of_glucose;
    const double mu_n = v_n * now_.maltotriose / (k_n + now_.maltotriose) * free_of_glucose * free_of_maltose;
    const double used_g = std::min(now_.glucose, mu_g * now_.yeast * hours);
    const double used_m = std::min(now_.maltose, mu_m * now_.yeast * hours);
    const double used_n = std::min(now_.maltotriose, mu_n * now_.yeast * hours);
    now_.glucose -= used_g;
    now_.maltose -= used_m;
    now_.maltotriose -= used_n;
    now_.yeast += 0.134 * used_g + 0.268 * used_m + 0.402 * used_n;
  }

  double fallen() const override { return 1.0 - mass(now_) / first_; }

 private:
  // Molar masses of glucose, maltose and maltotriose.
  static double mass(const Sugars& s) {
    return 180.16 * s.glucose + 342.30 * s.maltose + 504.44 * s.maltotriose;
  }
  Sugars now_;
  double first_;
};

class SettlingCells final : public Kinetics {
 public:
  void advance(double hours, double celsius) override {
    // Steep terms: small steps of the midpoint rule.
    const int steps = std::max(1, static_cast<int>(std::ceil(hours / 0.06)));
    const double h = hours / steps;
    const Rates rates(celsius + 273.15);
    for (int i = 0; i < steps; ++i) {
      const State half = plus(now_, slope(now_, rates), h / 2.0);
      now_ = plus(now_, slope(half, rates), h);
    }
  }

  double fallen() const override { return 1.0 - now_.sugar / kSugar; }

 private:
  static constexpr double kSugar = 130.0;  // g/L

  struct Rates {
    explicit Rates(double kelvin)
        : growth(std::exp(108.31 - 31934.09 / kelvin)),
          uptake(std::exp(-41.92 + 11654.64 / kelvin)),
          waking(std::exp(30.72 - 9501.54 / kelvin)),
          settling(std::exp(33.82 - 10033.28 / kelvin)),
          alcohol(std::exp(3.27 - 1267.24 / kelvin)),
          dying(std::exp(130.16 - 38313.0 / kelvin)),
          half(std::exp(-119.63 + 34203.95 / kelvin)) {}
    double growth, uptake, waking, settling, alcohol, dying, half;
  };
  struct State {
    double lagging = 1.92;
    double active = 0.08;
    double bottom = 2.0;
    double sugar = kSugar;
    double ethanol = 0.0;
  };

  static State slope(const State& s, const Rates& r) {
    const double crowd = 0.5 * kSugar + s.ethanol;
    const double sugar = std::max(0.0, s.sugar);
    State d;
    d.lagging = -r.waking * s.lagging;
    d.active = r.growth * sugar / crowd * s.active - r.dying * s.active + r.waking * s.lagging;
    d.bottom = r.dying * s.active - r.settling * 0.5 * kSugar / crowd * s.bottom;
    d.sugar = -r.uptake * sugar / (r.half + sugar) * s.active;
    d.ethanol = (1.0 - s.ethanol / (0.5 * kSugar)) * r.alcohol * sugar / (r.half + sugar) * s.active;
    return d;
  }
  static State plus(const State& s, const State& d, double h) {
    return State{s.lagging + h * d.lagging, s.active + h * d.active, s.bottom + h * d.bottom,
                 std::max(0.0, s.sugar + h * d.sugar), s.ethanol + h * d.ethanol};
  }
  State now_;
};

// Yeast grows to a limit, sugar goes by Monod, alcohol slows both. Sugar and alcohol as fractions.
class LimitedGrowth final : public Kinetics {
 public:
  LimitedGrowth(double first_yeast, double half_sugar, double hindrance, double q10)
      : yeast_(first_yeast), half_sugar_(half_sugar), hindrance_(hindrance), q10_(q10) {}
  void advance(double hours, double celsius) override {
    const double h = hours * std::pow(q10_, (celsius - kReferenceCelsius) / 10.0);
    const double slowed = 1.0 - hindrance_ * (1.0 - sugar_);
    const double uptake = sugar_ / (half_sugar_ + sugar_) * slowed;
    yeast_ += h * 0.15 * yeast_ * (1.0 - yeast_) * uptake;
    sugar_ = std::max(0.0, sugar_ - h * 0.03 * yeast_ * uptake);
  }
  double fallen() const override { return 1.0 - sugar_; }

 private:
  double yeast_;
  double sugar_ = 1.0;
  double half_sugar_;
  double hindrance_;
  double q10_;
};

// The more yeast shares the sugar, the slower each cell takes it up; alcohol slows growth exponentially.
// Forms from memory, values chosen for ordinary courses.
class SharedSugar final : public Kinetics {
 public:
  SharedSugar(double first_yeast, double half_per_yeast, double hindrance, double q10)
      : yeast_(first_yeast), half_per_yeast_(half_per_yeast), hindrance_(hindrance), q10_(q10) {}
  void advance(double hours, double celsius) override {
    const double h = hours * std::pow(q10_, (celsius - kReferenceCelsius) / 10.0);
    const double uptake = sugar_ / (half_per_yeast_ * yeast_ + sugar_);
    const double slowed = std::exp(-hindrance_ * (1.0 - sugar_));
    yeast_ += h * 0.12 * yeast_ * uptake * slowed * sugar_;
    sugar_ = std::max(0.0, sugar_ - h * 0.05 * yeast_ * uptake * slowed);
  }
  double fallen() const override { return 1.0 - sugar_; }

 private:
  double yeast_;
  double sugar_ = 1.0;
  double half_per_yeast_;
  double hindrance_;
  double q10_;
};

// The share that has left a chain of `steps` first-order steps.
struct Queue {
  int steps;
  double per_hour;
  double operator()(double t) const {
    const double x = per_hour * t;
    double term = 1.0;
    double sum = 1.0;
    for (int i = 1; i < steps; ++i) {
      term *= x / i;
      sum += term;
    }
    return 1.0 - sum * std::exp(-x);
  }
};

// As much yeast as there will ever be, awake after a while, saturated while there is sugar.
class SaturatedUptake final : public Kinetics {
 public:
  SaturatedUptake(double waking_h, double half_sugar, double q10)
      : waking_h_(waking_h), half_sugar_(half_sugar), q10_(q10) {}
  void advance(double hours, double celsius) override {
    const double h = hours * std::pow(q10_, (celsius - kReferenceCelsius) / 10.0);
    thermal_h_ += h;
    const double awake = -std::expm1(-std::pow(thermal_h_ / waking_h_, 2.0));
    sugar_ = std::max(0.0, sugar_ - h * 0.02 * awake * sugar_ / (half_sugar_ + sugar_));
  }
  double fallen() const override { return 1.0 - sugar_; }

 private:
  double waking_h_;
  double half_sugar_;
  double q10_;
  double thermal_h_ = 0.0;
  double sugar_ = 1.0;
};

// Yeast grows until alcohol stops it; what there is of it takes up sugar.
class InhibitedGrowth final : public Kinetics {
 public:
  InhibitedGrowth(double first_yeast, double stops_at, double power, double order, double q10)
      : yeast_(first_yeast), stops_at_(stops_at), power_(power), order_(order), q10_(q10) {}
  void advance(double hours, double celsius) override {
    const double h = hours * std::pow(q10_, (celsius - kReferenceCelsius) / 10.0);
    const double free = std::max(0.0, 1.0 - std::pow((1.0 - sugar_) / stops_at_, power_));
    yeast_ += h * 0.1 * yeast_ * free;
    sugar_ = std::max(0.0, sugar_ - h * 0.05 * yeast_ * std::pow(sugar_, order_));
  }
  double fallen() const override { return 1.0 - sugar_; }

 private:
  double yeast_;
  double stops_at_;
  double power_;
  double order_;
  double q10_;
  double sugar_ = 1.0;
};

// The same story in another tempo, at another temperature.
class ScaledKinetics final : public Kinetics {
 public:
  ScaledKinetics(std::unique_ptr<Kinetics> inner, double speed) : inner_(std::move(inner)), speed_(speed) {}
  void advance(double hours, double celsius) override { inner_->advance(hours * speed_, celsius); }
  double fallen() const override { return inner_->fallen(); }

 private:
  std::unique_ptr<Kinetics> inner_;
  double speed_;
};

// Brings the narrow and steep range of the settling model (it works from 8 to 13 degC) to where the beer is.
class ShiftedKinetics final : public Kinetics {
 public:
  ShiftedKinetics(std::unique_ptr<Kinetics> inner, double celsius)
      : inner_(std::move(inner)), celsius_(celsius) {}
  void advance(double hours, double celsius) override {
    inner_->advance(hours, std::clamp(10.5 + 0.3 * (celsius - celsius_), 7.0, 12.5));
  }
  double fallen() const override { return inner_->fallen(); }

 private:
  std::unique_ptr<Kinetics> inner_;
  double celsius_;
};

}  // namespace

std::unique_ptr<Kinetics> modified_gompertz(double mu_per_h, double lambda_h, double q10) {
  return thermal(Gompertz{mu_per_h, lambda_h}, q10);
}

namespace {

std::unique_ptr<Kinetics> unscaled(Family family, double celsius, Tail tail, Random random) {
  const double q10 = random.between(1.7, 2.8);
  const double more = tail == Tail::long_drawn ? 1.8 : 1.0;
  switch (family) {
    case Family::logistic:
    case Family::asymmetric:
    case Family::tailed: {
      SigmoidShape shape;
      shape.midpoint_h = 40.0;
      shape.steepness_per_h = random.between(0.06, 0.14);
      shape.q10 = q10;
      if (family == Family::asymmetric) shape.asymmetry = std::exp(random.between(-1.2, 0.9));
      if (family == Family::tailed) {
        shape.slow_share = random.between(0.03, 0.09) * more;
        shape.slow_factor = random.between(2.0, 3.0) * more;
      }
      return std::make_unique<SigmoidKinetics>(shape);
    }
    case Family::gompertz:
      return modified_gompertz(random.between(0.018, 0.035), random.between(8.0, 24.0), q10);
    case Family::sugars: {
      Sugars start;
      start.glucose = random.between(40.0, 110.0);
      start.maltose = random.between(180.0, 260.0);
      start.maltotriose = random.between(20.0, 55.0);
      start.yeast = random.between(60.0, 200.0);
      return sequential_sugars(start);
    }
    case Family::settling:
      return std::make_unique<ShiftedKinetics>(settling_cells(), celsius);
    case Family::exponential:
      return thermal(
          TwoExponentials{0.03, random.between(0.03, 0.10) * more, random.between(1.6, 2.4) * more}, q10);
    case Family::limited:
      return std::make_unique<LimitedGrowth>(random.between(0.03, 0.15), random.between(0.05, 0.35),
                                             random.between(0.1, 0.6), q10);
    case Family::stretched:
      return thermal(Weibull{50.0, random.between(1.5, 2.6)}, q10);
    case Family::contois:
      return std::make_unique<SharedSugar>(random.between(0.08, 0.3), random.between(0.1, 0.4),
                                           random.between(0.2, 1.2), q10);
    case Family::log_logistic:
      return thermal(LogLogistic{40.0, random.between(3.5, 6.0)}, q10);
    case Family::two_phases:
      return thermal(TwoPhases{random.between(0.1, 0.35), random.between(0.09, 0.16),
                               random.between(0.05, 0.12), random.between(15.0, 45.0)},
                     q10);
    case Family::queued:
      return thermal(Queue{2 + random.below(4), 0.08}, q10);
    case Family::saturated:
      return std::make_unique<SaturatedUptake>(random.between(10.0, 40.0), random.between(0.08, 0.4), q10);
    case Family::inhibited:
      return std::make_unique<InhibitedGrowth>(random.between(0.05, 0.3), random.between(0.5, 0.9),
                                               random.between(0.6, 2.0), random.between(0.85, 1.1), q10);
  }
  return nullptr;
}

double half_time(Kinetics& kinetics, double celsius) {
  constexpr double kStep = 0.1;
  double hours = 0.0;
  while (kinetics.fallen() < 0.5 && hours < 2000.0) {
    kinetics.advance(kStep, celsius);
    hours += kStep;
  }
  return hours;
}

}  // namespace

std::string_view name(Family family) {
  switch (family) {
    case Family::logistic:
      return "logistic";
    case Family::asymmetric:
      return "asymmetric";
    case Family::tailed:
      return "tailed";
    case Family::gompertz:
      return "gompertz";
    case Family::sugars:
      return "sugars";
    case Family::settling:
      return "settling";
    case Family::exponential:
      return "exponential";
    case Family::limited:
      return "limited";
    case Family::stretched:
      return "stretched";
    case Family::contois:
      return "contois";
    case Family::log_logistic:
      return "log-logistic";
    case Family::two_phases:
      return "two phases";
    case Family::queued:
      return "queued";
    case Family::saturated:
      return "saturated";
    case Family::inhibited:
      return "inhibited";
  }
  return "";
}

std::unique_ptr<Kinetics> settling_cells() { return std::make_unique<SettlingCells>(); }

std::unique_ptr<Kinetics> sequential_sugars(const Sugars& start) {
  return std::make_unique<SequentialSugars>(start);
}

std::unique_ptr<Kinetics> kinetics_of(Family family, double half_h, double celsius, Tail tail,
                                      Random random) {
  const std::unique_ptr<Kinetics> measured = unscaled(family, celsius, tail, random);
  const double speed = half_time(*measured, celsius) / half_h;
  return std::make_unique<ScaledKinetics>(unscaled(family, celsius, tail, random), speed);
}

}  // namespace gyle::simulation
