#include "reports/curve_svg.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <vector>

#include "base/zone_words.h"
#include "fermentation/forecast_path.h"
#include "reports/plot_axis.h"
#include "reports/xml_text.h"
#include "wording/fitted_text.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr double kLeft = 58, kRight = 588;
constexpr double kGravityTop = 76, kGravityBottom = 262;  // with the beer's temperature below
constexpr double kCelsiusTop = 300, kCelsiusBottom = 364;
constexpr double kTimeLabels = 384;
constexpr double kFarthestS = 14 * 86400.0;  // so far ahead a forecast has room, whatever has been
constexpr int kColumns = 240;                // of which each keeps the lowest and the highest
constexpr std::size_t kTitle = 36;           // columns
constexpr double kLabelHeight = 16, kLabelPerColumn = 7.2;  // of marks, in units
constexpr std::size_t kLabelRows = 4, kMostMarks = 60;

// Blue and rust stay apart for every kind of colour vision and, being of different lightness, in grey.
constexpr const char* kInk = "#1c1c1c";
constexpr const char* kGrid = "#d8d8d8";
constexpr const char* kGravity = "#12467f";
constexpr const char* kReading = "#7b8794";
constexpr const char* kCelsius = "#b5480f";
constexpr const char* kPlan = "#6b6b6b";

double seconds_of(Time time) { return in_seconds(time.time_since_epoch()); }
Time time_of(double s) { return Time(Duration(std::llround(s * 1000))); }

// A value with its interval, at a time, in the brewer's unit.
struct Level {
  double time_s, raw, value, low, high;
};
struct Warmth {
  double time_s, degrees;
};
struct Wanted {
  double from_s, to_s, degrees;
};

class Picture {
 public:
  Picture(const BatchSpec& batch, std::span<const CurvePoint> curve, const Forecast& forecast,
          std::span<const CurveMark> marks, const DisplaySettings& display, const BesideCurve& beside)
      : batch_(batch), forecast_(forecast), marks_(marks), display_(display), beside_(beside) {
    for (const CurvePoint& point : curve) take(point);
    choose_range_of_time();
    find_wanted();
    choose_marks();
  }

  std::string drawn() {
    bottom_ = warmths_.empty() ? kCelsiusBottom : kGravityBottom;
    head();
    if (levels_.empty()) {
      add("<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">No gravity reading yet.</text>\n",
          (kLeft + kRight) / 2, 200);
    } else {
      gravity_panel();
      if (!warmths_.empty()) temperature_panel();
      time_axis();
    }
    return std::move(out_) + "</svg>\n";
  }

 private:
  template <typename... Args>
  void add(fmt::format_string<Args...> format, Args&&... args) {
    fmt::format_to(std::back_inserter(out_), format, std::forward<Args>(args)...);
  }

  bool plato() const { return display_.gravity == DisplaySettings::Gravity::plato; }
  void take(const CurvePoint& point) {
    const auto sane = [](double sg) { return sg > 0.9 && sg < 1.3; };  // false for what is not finite
    const Interval& g = point.gravity;
    if (!sane(g.value) || !sane(g.low) || !sane(g.high)) return;
    const double s = seconds_of(point.time);
    newest_ = point;
    const double raw = sane(point.gravity_raw) ? point.gravity_raw : g.value;
    levels_.push_back({s, gravity_number(raw, display_), gravity_number(g.value, display_),
                       gravity_number(g.low, display_), gravity_number(g.high, display_)});
    if (point.temperature && std::abs(point.temperature->value) < 150) {
      warmths_.push_back({s, temperature_number(point.temperature->value, display_)});
    }
  }

  // From the pitch to the forecast end, unless that is so far away that the past would have no room.
  void choose_range_of_time() {
    if (levels_.empty()) return;
    const double first = levels_.front().time_s, last = levels_.back().time_s;
    const double pitched = seconds_of(batch_.pitched);
    const double from = pitched < first && first - pitched < 14 * 86400 ? pitched : first;
    double to = std::max(last, from + 3 * 3600);
    const double farthest = last + std::max(1.2 * (last - from), kFarthestS);
    if (forecast_.final_time && seconds_of(forecast_.final_time->value) > last) {
      // All of its interval, unless that reaches far beyond the likeliest time.
      const double ahead = seconds_of(forecast_.final_time->value) - last;
      const double shown =
          std::max(std::min(seconds_of(forecast_.final_time->high), last + 1.6 * ahead), last + ahead);
      to = std::max(to, std::min(shown, farthest));
    }
    const double margin = 0.01 * (to - from);
    time_ = {from - margin, to + margin, kLeft, kRight};
  }

  // The holds of the plan, each from the end of the one before.
  void find_wanted() {
    if (levels_.empty()) return;
    double from = std::max(time_.low, seconds_of(batch_.pitched));
    for (std::size_t i = 0; i < batch_.plan.size() && from < time_.high; ++i) {
      std::optional<double> over;
      for (const CurveMark& mark : marks_) {
        if (mark.kind == AlertKind::step_due && mark.step == static_cast<int>(i + 1)) {
          over = mark.state == Decision::State::raised ? std::optional(seconds_of(mark.time)) : std::nullopt;
        }
      }
      if (!over && forecast_.step == static_cast<int>(i + 1) && forecast_.step_time) {
        over = seconds_of(forecast_.step_time->value);
      }
      const double to = std::clamp(over.value_or(time_.high), from, time_.high);
      wanted_.push_back({from, to, temperature_number(batch_.plan[i].temperature.value, display_)});
      if (!over) break;
      from = to;
    }
  }

  // The newest of those that have words and a place.
  void choose_marks() {
    std::copy_if(marks_.begin(), marks_.end(), std::back_inserter(marked_), [this](const CurveMark& mark) {
      return !words(mark).empty() && time_.holds(seconds_of(mark.time));
    });
    std::stable_sort(marked_.begin(), marked_.end(), [](auto& a, auto& b) { return a.time < b.time; });
    if (marked_.size() > kMostMarks) marked_.erase(marked_.begin(), marked_.end() - kMostMarks);
  }

  void head() {
    out_ += svg_head(batch_.name, in_words());
    add("<text x=\"12\" y=\"26\" font-size=\"19\" font-weight=\"bold\">{}</text>\n",
        xml_text(fitted(batch_.name, kTitle)));
  }

  // The picture in words.
  std::string in_words() const {
    if (levels_.empty()) return "There is no gravity reading yet.";
    const Level& last = levels_.back();
    std::string text = fmt::format("Gravity went from {} on {} to {} on {}.", number(levels_.front().value),
                                   show_time(time_of(levels_.front().time_s), display_), number(last.value),
                                   show_time(time_of(last.time_s), display_));
    if (!warmths_.empty()) {
      const auto [low, high] = std::minmax_element(warmths_.begin(), warmths_.end(),
                                                   [](auto& a, auto& b) { return a.degrees < b.degrees; });
      text += fmt::format(" The beer was between {:.1f} and {:.1f} {}.", low->degrees, high->degrees,
                          temperature_unit(display_));
    }
    if (const auto end = forecast_end()) {
      text += fmt::format(" Expected to end at {}, in 8 of 10 cases between {} and {}", number(end->value),
                          number(end->low), number(end->high));
      text += forecast_.final_time && time_.holds(end->time_s)
                  ? fmt::format(", about {}.", show_time(forecast_.final_time->value, display_))
                  : ".";
    }
    for (const CurveMark& mark : marked_) {
      text += fmt::format(" {}: {}.", show_time(mark.time, display_), words(mark));
    }
    return text;
  }

  int decimals() const { return plato() ? 1 : 4; }
  std::string number(double gravity) const {
    return fmt::format("{:.{}f}{}", gravity, decimals(), plato() ? " °P" : "");
  }

  // The forecast final gravity, in the brewer's unit: at its time, if that is known and in the future,
  // otherwise at the right edge.
  std::optional<Level> forecast_end() const {
    const auto& final = forecast_.final_gravity;
    if (levels_.empty() || !final || !(final->low > 0.9 && final->high < 1.3)) return std::nullopt;
    if (forecast_.final_time && !(seconds_of(forecast_.final_time->value) > levels_.back().time_s))
      return std::nullopt;
    const double at = forecast_.final_time ? seconds_of(forecast_.final_time->value) : time_.high;
    return Level{at, 0, gravity_number(final->value, display_), gravity_number(final->low, display_),
                 gravity_number(final->high, display_)};
  }

  static std::string words(const CurveMark& mark) {
    const bool raised = mark.state == Decision::State::raised;
    switch (mark.kind) {
      case AlertKind::fermentation_started:
        return raised ? "started" : "";
      case AlertKind::slow_start:
        return raised ? "slow start" : "";
      case AlertKind::step_due:
        return raised ? fmt::format("hold {} over", mark.step.value_or(0)) : "";
      case AlertKind::step_not_held:
        return raised ? "hold not kept" : "";
      case AlertKind::temperature_out_of_range:
        return raised ? "out of range" : "in range";
      case AlertKind::stuck:
        return raised ? "stopped?" : "not stuck";
      case AlertKind::final_gravity_stable:
        return raised ? "final gravity" : "moving again";
      case AlertKind::over_attenuated:
        return raised ? "too far?" : "";
      case AlertKind::gravity_jumped:
        return raised ? "jump?" : "";
      case AlertKind::sensor_silent:
      case AlertKind::sensor_frozen:
      case AlertKind::sensor_implausible:
      case AlertKind::battery_low:
        break;
    }
    return "";
  }

  int column(double time_s) const {
    return std::clamp(static_cast<int>((time_s - time_.low) / (time_.high - time_.low) * kColumns), 0,
                      kColumns - 1);
  }

  // Of each column the lowest and the highest by `value`, in order of time.
  template <typename Point, typename Value>
  std::vector<Point> extremes(const std::vector<Point>& points, Value value) const {
    std::vector<Point> kept;
    for (std::size_t i = 0; i < points.size();) {
      std::size_t low = i, high = i, next = i;
      for (; next < points.size() && column(points[next].time_s) == column(points[i].time_s); ++next) {
        if (value(points[next]) < value(points[low])) low = next;
        if (value(points[next]) > value(points[high])) high = next;
      }
      kept.push_back(points[std::min(low, high)]);
      if (low != high) kept.push_back(points[std::max(low, high)]);
      i = next;
    }
    return kept;
  }

  // The newest of each column, with the widest of its intervals.
  std::vector<Level> thinned_levels() const {
    std::vector<Level> kept;
    for (const Level& level : levels_) {
      if (kept.empty() || column(kept.back().time_s) != column(level.time_s)) {
        kept.push_back(level);
        continue;
      }
      const double low = std::min(kept.back().low, level.low), high = std::max(kept.back().high, level.high);
      kept.back() = level;
      kept.back().low = low;
      kept.back().high = high;
    }
    return kept;
  }

  void gravity_panel() {
    const std::optional<Level> end = forecast_end();
    double low = levels_.front().low, high = levels_.front().high;
    const auto reach = [&](double a, double b) {
      low = std::min(low, a);
      high = std::max(high, b);
    };
    for (const Level& level : levels_) reach(level.low, level.high);
    if (end) reach(end->low, end->high);
    if (batch_.original_gravity) {
      const double original = gravity_number(batch_.original_gravity->value(), display_);
      reach(original, original);
    }
    const double least = plato() ? 1.0 : 0.004;
    if (high - low < least) reach((low + high - least) / 2, (low + high + least) / 2);
    const double step = round_step(high - low, 5);
    gravity_ = {std::floor(low / step) * step, std::ceil(high / step) * step, bottom_, kGravityTop};

    add("<text x=\"12\" y=\"52\" font-weight=\"bold\" fill=\"{}\">{}</text>\n", kGravity,
        plato() ? "Gravity, °P" : "Gravity, SG");
    const Level& newest = levels_.back();
    add("<text x=\"{}\" y=\"26\" text-anchor=\"end\" font-size=\"16\" font-weight=\"bold\" fill=\"{}\">",
        kRight, kGravity);
    add("{:.{}f} ± {:.{}f}{}</text>\n", newest.value, decimals(), (newest.high - newest.low) / 2, decimals(),
        plato() ? " °P" : "");
    legend(end.has_value());
    horizontal_grid(gravity_, step, plato() ? (step < 1 ? 1 : 0) : (step < 0.001 ? 4 : 3));
    draw_marks();

    out_ += "<path fill=\"none\" stroke=\"" + std::string(kReading) +
            "\" stroke-width=\"2\" stroke-linecap=\"round\" stroke-opacity=\"0.6\" d=\"";
    for (const Level& level : extremes(levels_, [](const Level& l) { return l.raw; })) {
      if (gravity_.holds(level.raw))
        add("M{:.1f} {:.1f}h0", time_.place(level.time_s), gravity_.place(level.raw));
    }
    out_ += "\"/>\n";

    const std::vector<Level> curve = thinned_levels();
    if (end) forecast(levels_.back(), *end);
    if (curve.size() == 1) {
      cross(curve.front(), curve.front().time_s, curve.front().time_s);
    } else {
      band(curve, 0.22);
      line(curve, "stroke-width=\"2.5\"");
    }
    samples();
  }

  // Diamonds, the newest of them.
  void samples() {
    const std::size_t first = beside_.samples.size() - std::min(beside_.samples.size(), kMostMarks);
    for (const UsedReading& sample : beside_.samples.subspan(first)) {
      const double s = seconds_of(sample.time);
      if (!(sample.value > 0.9 && sample.value < 1.3)) continue;
      const double level = gravity_number(sample.value, display_);
      if (!time_.holds(s) || !gravity_.holds(level)) continue;
      add("<path class=\"sample\" d=\"M{:.1f} {:.1f}l5 5l-5 5l-5 -5z\" fill=\"#ffffff\" stroke=\"{}\" "
          "stroke-width=\"1.8\"/>\n",
          time_.place(s), gravity_.place(level) - 5, kInk);
    }
  }

  void vertex(std::size_t i, double time_s, double value, const PlotAxis& axis) {
    add("{}{:.1f} {:.1f}", i == 0 ? 'M' : 'L', time_.place(time_s), axis.place(value));
  }

  void forecast(const Level& now, const Level& end) {
    std::vector<Level> levels;
    for (const PathPoint& point :
         forecast_path(newest_.gravity, time_of(now.time_s), newest_.stage, forecast_)) {
      const double time_s = seconds_of(point.time);
      if (time_s > time_.high) break;
      levels.push_back({time_s, 0, gravity_number(point.gravity.value, display_),
                        gravity_number(point.gravity.low, display_),
                        gravity_number(point.gravity.high, display_)});
    }
    if (levels.size() > 1) {
      band(levels, 0.12);
      line(levels, "stroke-width=\"2\" stroke-dasharray=\"6 5\"");
    }
    if (!time_.holds(end.time_s)) return;
    const auto edge = [&](double s) { return std::clamp(s, now.time_s, time_.high); };
    const bool spans = forecast_.final_time && forecast_.final_time->low <= forecast_.final_time->high;
    cross(end, spans ? edge(seconds_of(forecast_.final_time->low)) : end.time_s,
          spans ? edge(seconds_of(forecast_.final_time->high)) : end.time_s);
  }

  void band(const std::vector<Level>& levels, double opacity) {
    add("<path fill=\"{}\" fill-opacity=\"{}\" d=\"", kGravity, opacity);
    for (std::size_t i = 0; i < levels.size(); ++i) vertex(i, levels[i].time_s, levels[i].high, gravity_);
    for (std::size_t i = levels.size(); i-- > 0;) vertex(1, levels[i].time_s, levels[i].low, gravity_);
    out_ += "Z\"/>\n";
  }

  void line(const std::vector<Level>& levels, const char* style) {
    add("<path fill=\"none\" stroke=\"{}\" stroke-linejoin=\"round\" {} d=\"", kGravity, style);
    for (std::size_t i = 0; i < levels.size(); ++i) vertex(i, levels[i].time_s, levels[i].value, gravity_);
    out_ += "\"/>\n";
  }

  // A value with its interval, and that of its time.
  void cross(const Level& level, double from_s, double to_s) {
    const double x = time_.place(level.time_s), y = gravity_.place(level.value);
    add("<path fill=\"none\" stroke=\"{}\" stroke-width=\"1.5\" d=\"M{:.1f} {:.1f}V{:.1f}M{:.1f} "
        "{:.1f}H{:.1f}\"/>\n"
        "<circle cx=\"{:.1f}\" cy=\"{:.1f}\" r=\"4\" fill=\"{}\"/>\n",
        kGravity, x, gravity_.place(level.high), gravity_.place(level.low), time_.place(from_s), y,
        time_.place(to_s), x, y, kGravity);
  }

  void legend(bool forecast) {
    add("<g font-size=\"12\"><path d=\"M142 47h0m8 -3h0m8 5h0\" stroke=\"{}\" stroke-width=\"3\" "
        "stroke-linecap=\"round\"/><text x=\"166\" y=\"51\">readings</text>"
        "<rect x=\"232\" y=\"40\" width=\"26\" height=\"13\" fill=\"{}\" fill-opacity=\"0.22\"/>"
        "<path d=\"M232 46.5h26\" stroke=\"{}\" stroke-width=\"2.5\"/>"
        "<text x=\"264\" y=\"51\">estimate, 80 % within the band</text>",
        kReading, kGravity, kGravity);
    if (forecast) {
      add("<path d=\"M466 46.5h28\" stroke=\"{}\" stroke-width=\"2\" stroke-dasharray=\"6 5\"/>"
          "<text x=\"500\" y=\"51\">forecast</text>",
          kGravity);
    }
    out_ += "</g>\n";
  }

  void horizontal_grid(const PlotAxis& axis, double step, int decimals) {
    for (const double value : round_values(axis.low, axis.high, step)) {
      const double y = axis.place(value);
      add("<path d=\"M{} {:.1f}H{}\" stroke=\"{}\"/><text x=\"{}\" y=\"{:.1f}\" "
          "text-anchor=\"end\">{:.{}f}</text>\n",
          kLeft, y, kRight, kGrid, kLeft - 6, y + 5, value == 0 ? 0.0 : value, decimals);
    }
  }

  // The curve comes from above on the left: labels have room above it on the right, in rows.
  void draw_marks() {
    for (const CurveMark& mark : marked_) {
      add("<path d=\"M{0:.1f} {1}V{2}", time_.place(seconds_of(mark.time)), kGravityTop - 12, bottom_);
      if (!warmths_.empty())
        add("M{:.1f} {}V{}", time_.place(seconds_of(mark.time)), kCelsiusTop - 4, kCelsiusBottom);
      add("\" stroke=\"{}\" stroke-width=\"1.2\" stroke-dasharray=\"2 3\"/>\n", kInk);
    }
    double row_ends[kLabelRows] = {};
    for (const CurveMark& mark : marked_) {
      const std::string label = words(mark);
      const double x = time_.place(seconds_of(mark.time));
      const double width = kLabelPerColumn * static_cast<double>(columns(label));
      const bool before = x + 4 + width > kRight;
      const double from = before ? x - 4 - width : x + 4;
      const auto row =
          std::find_if(std::begin(row_ends), std::end(row_ends), [from](double e) { return e <= from; });
      if (row == std::end(row_ends)) continue;  // its line is there, and it has its place in the description
      *row = from + width + 6;
      const double y = kGravityTop - 3 + kLabelHeight * static_cast<double>(row - std::begin(row_ends));
      add("<rect x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"15\" fill=\"#ffffff\" "
          "fill-opacity=\"0.9\"/>"
          "<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"13\"{}>{}</text>\n",
          from - 1, y - 12, width + 2, before ? x - 4 : x + 4, y, before ? " text-anchor=\"end\"" : "",
          xml_text(label));
    }
  }

  void temperature_panel() {
    const std::vector<Warmth> curve = extremes(warmths_, [](const Warmth& w) { return w.degrees; });
    double low = curve.front().degrees, high = low;
    const auto reach = [&](double value) {
      low = std::min(low, value);
      high = std::max(high, value);
    };
    for (const Warmth& warmth : curve) reach(warmth.degrees);
    for (const Wanted& wanted : wanted_) reach(wanted.degrees);
    if (high - low < 3) {
      const double middle = (low + high) / 2;
      reach(middle - 1.5);
      reach(middle + 1.5);
    }
    const double step = round_step(high - low, 3);
    const PlotAxis axis{std::floor(low / step) * step, std::ceil(high / step) * step, kCelsiusBottom,
                        kCelsiusTop};
    add("<text x=\"12\" y=\"288\" font-weight=\"bold\" fill=\"{}\">Beer, {}</text>\n", kCelsius,
        temperature_unit(display_));
    add("<text x=\"{}\" y=\"288\" text-anchor=\"end\" font-weight=\"bold\" fill=\"{}\">{:.1f} {}</text>\n",
        kRight, kCelsius, warmths_.back().degrees, temperature_unit(display_));
    if (!wanted_.empty()) {
      add("<path d=\"M142 283h26\" stroke=\"{}\" stroke-width=\"5\" stroke-opacity=\"0.5\"/>"
          "<text x=\"174\" y=\"288\" font-size=\"12\">what the plan wants</text>\n",
          kPlan);
    }
    ambient(axis);
    horizontal_grid(axis, step, step < 1 ? 1 : 0);
    out_ += "<path fill=\"none\" stroke=\"" + std::string(kPlan) +
            "\" stroke-width=\"5\" stroke-opacity=\"0.5\" d=\"";
    for (const Wanted& wanted : wanted_) {
      add("M{:.1f} {:.1f}H{:.1f}", time_.place(wanted.from_s), axis.place(wanted.degrees),
          time_.place(wanted.to_s));
    }
    add("\"/>\n<path fill=\"none\" stroke=\"{}\" stroke-width=\"2\" stroke-linejoin=\"round\" "
        "stroke-linecap=\"round\" d=\"",
        kCelsius);
    for (std::size_t i = 0; i < curve.size(); ++i) vertex(i, curve[i].time_s, curve[i].degrees, axis);
    out_ += curve.size() == 1 ? "h0\"/>\n" : "\"/>\n";
  }

  // The coldest and the warmest of each day, as a bar.
  void ambient(const PlotAxis& axis) {
    bool any = false;
    for (std::size_t i = 0; i < beside_.ambient.size();) {
      const double from = seconds_of(beside_.ambient[i].time);
      double low = 1e9, high = -1e9;
      for (; i < beside_.ambient.size() && seconds_of(beside_.ambient[i].time) < from + 86400; ++i) {
        if (!(std::abs(beside_.ambient[i].value) < 150)) continue;
        const double degrees = temperature_number(beside_.ambient[i].value, display_);
        low = std::min(low, degrees);
        high = std::max(high, degrees);
      }
      const double left = std::max(from, time_.low), right = std::min(from + 86400, time_.high);
      if (!(low <= high) || !(right > left)) continue;
      const double top = std::max(axis.place(high) - 1, kCelsiusTop);
      const double bottom = std::min(axis.place(low) + 1, kCelsiusBottom);
      if (bottom <= top) continue;
      add("<rect class=\"ambient\" x=\"{:.1f}\" y=\"{:.1f}\" width=\"{:.1f}\" height=\"{:.1f}\" fill=\"{}\" "
          "fill-opacity=\"0.16\"/>\n",
          time_.place(left), top, time_.place(right) - time_.place(left), bottom - top, kPlan);
      any = true;
    }
    if (any) {
      add("<rect x=\"312\" y=\"277\" width=\"26\" height=\"12\" fill=\"{}\" fill-opacity=\"0.16\"/><text "
          "x=\"344\" y=\"288\" font-size=\"12\">ambient, by the day</text>\n",
          kPlan);
    }
  }

  void time_axis() {
    const Time from = time_of(time_.low), to = time_of(time_.high);
    const double length_days = in_days(to - from);
    const bool by_hours = length_days < 2;
    const int step_days = by_hours           ? 1
                          : length_days < 7  ? 1
                          : length_days < 14 ? 2
                                             : static_cast<int>(length_days / 7) + 1;
    const int step_hours = !by_hours ? 24 : length_days < 0.3 ? 1 : length_days < 0.75 ? 3 : 6;
    for (int n = 0;; n += step_days) {
      const Time day = local_day(from, n, display_);
      if (day > to) break;
      for (int hour = 0; hour < 24; hour += step_hours) {
        const Time tick = day + hours(hour);
        if (tick < from || tick > to) continue;
        time_label(tick, by_hours ? show_clock(tick, display_) : show_day(tick, display_), length_days);
      }
    }
    add("<text x=\"{}\" y=\"{}\" text-anchor=\"end\" font-size=\"12\">{}</text>\n", kRight, 398,
        xml_text((by_hours ? show_day(from, display_) + ", " : "") + zone_words(display_.time_zone)));
  }

  void time_label(Time tick, std::string label, double length_days) {
    const double x = time_.place(seconds_of(tick));
    // "Thu 12 Mar" is "12 Mar" where weeks pass.
    if (length_days >= 2 && length_days >= 14) label = label.substr(4);
    add("<path d=\"M{:.1f} {}v5\" stroke=\"{}\"/>", x, kCelsiusBottom, kInk);
    const double half = 3.6 * static_cast<double>(columns(label));
    if (x - half < 2 || x + half > 598) return;
    add("<text x=\"{:.1f}\" y=\"{}\" text-anchor=\"middle\" font-size=\"13\">{}</text>\n", x, kTimeLabels,
        label);
  }

  const BatchSpec& batch_;
  const Forecast& forecast_;
  std::span<const CurveMark> marks_;
  const DisplaySettings& display_;
  const BesideCurve beside_;
  std::vector<Level> levels_;
  std::vector<Warmth> warmths_;
  std::vector<Wanted> wanted_;
  std::vector<CurveMark> marked_;
  PlotAxis time_{0, 1, kLeft, kRight};
  PlotAxis gravity_{0, 1, kGravityBottom, kGravityTop};
  double bottom_ = kGravityBottom;  // of gravity
  CurvePoint newest_{};
  std::string out_;
};

}  // namespace

std::string curve_svg(const BatchSpec& batch, std::span<const CurvePoint> curve, const Forecast& forecast,
                      std::span<const CurveMark> marks, const DisplaySettings& display,
                      const BesideCurve& beside) {
  return Picture(batch, curve, forecast, marks, display, beside).drawn();
}

}  // namespace gyle
