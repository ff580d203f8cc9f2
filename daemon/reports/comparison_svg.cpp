#include "reports/comparison_svg.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <iterator>
#include <optional>
#include <vector>

#include "fermentation/forecast_path.h"
#include "reports/plot_axis.h"
#include "reports/xml_text.h"
#include "wording/fitted_text.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr double kLeft = 58, kRight = 572;
constexpr double kGravityBottom = 266, kCelsiusTop = 302, kCelsiusBottom = 364;
constexpr std::size_t kColumns = 300;
constexpr std::size_t kName = 32;  // columns

// Of different lightness and hue, so that they stay apart for every kind of colour vision.
constexpr std::array<const char*, kMostCompared> kPens{"#12467f", "#b5480f", "#1d7a5f",
                                                       "#6d2b77", "#4a4a4a", "#8a6a00"};

struct Spot {
  double days, value;
};

struct Line {
  std::size_t number;
  std::vector<Spot> spots;
  std::vector<Spot> ahead = {};
};

class Comparison {
 public:
  Comparison(std::span<const ComparedBatch> batches, const DisplaySettings& display, Alignment align)
      : batches_(batches.first(std::min(batches.size(), kMostCompared))), display_(display), align_(align) {
    for (const ComparedBatch& batch : batches_) take(batch);
  }

  std::string drawn() {
    head();
    if (gravities_.empty()) {
      add("<text x=\"300\" y=\"220\" text-anchor=\"middle\">No gravity reading yet.</text>\n");
      return std::move(out_) + "</svg>\n";
    }
    days_ = {0, std::max(longest_, 0.2), kLeft, kRight};
    const double bottom = warmths_.empty() ? kCelsiusBottom : kGravityBottom;
    panel(gravities_, top_, bottom, plato() ? "Gravity, °P" : "Gravity, SG", 5, true);
    if (!warmths_.empty()) {
      panel(warmths_, kCelsiusTop, kCelsiusBottom, std::string("Beer, ") + temperature_unit(display_), 3,
            false);
    }
    time_axis();
    return std::move(out_) + "</svg>\n";
  }

 private:
  template <typename... Args>
  void add(fmt::format_string<Args...> format, Args&&... args) {
    fmt::format_to(std::back_inserter(out_), format, std::forward<Args>(args)...);
  }

  bool plato() const { return display_.gravity == DisplaySettings::Gravity::plato; }

  void take(const ComparedBatch& batch) {
    Line gravity{names_.size() + 1, {}}, warmth{names_.size() + 1, {}};
    const Time zero = align_ == Alignment::start ? batch.started.value_or(batch.pitched) : batch.pitched;
    for (const CurvePoint& point : batch.curve) {
      const double days = in_days(point.time - zero);
      if (days < 0 || days > 1000) continue;
      if (const double sg = point.gravity.value; sg > 0.9 && sg < 1.3) {
        gravity.spots.push_back({days, gravity_number(sg, display_)});
        longest_ = std::max(longest_, days);
      }
      if (point.temperature && std::abs(point.temperature->value) < 150) {
        warmth.spots.push_back({days, temperature_number(point.temperature->value, display_)});
      }
    }
    if (!gravity.spots.empty()) {
      const CurvePoint& last = batch.curve.back();
      for (const PathPoint& point : forecast_path(last.gravity, last.time, last.stage, batch.forecast)) {
        const double days = in_hours(point.time - zero) / 24;
        if (days < 0 || days > 1000 || !(point.gravity.value > 0.9)) continue;
        gravity.ahead.push_back({days, gravity_number(point.gravity.value, display_)});
        longest_ = std::max(longest_, days);
      }
    }
    words_ += fmt::format(" {}: {}", names_.size() + 1, batch.name);
    if (!gravity.spots.empty()) {
      words_ += fmt::format(", from {} to {} in {}", number(gravity.spots.front().value),
                            number(gravity.spots.back().value),
                            show_length(from_hours(24 * gravity.spots.back().days)));
      gravities_.push_back(std::move(gravity));
    }
    words_ += ".";
    if (!warmth.spots.empty()) warmths_.push_back(std::move(warmth));
    names_.push_back(batch.name);
  }

  std::string number(double gravity) const {
    return plato() ? fmt::format("{:.1f} °P", gravity) : fmt::format("{:.4f}", gravity);
  }

  void head() {
    out_ += svg_head(fmt::format("{} batches, each from {}", names_.size(),
                                 align_ == Alignment::start ? "when it started to ferment" : "its pitch"),
                     words_);
    for (std::size_t i = 0; i < names_.size(); ++i) {
      const double x = i % 2 == 0 ? 12 : 306, y = 20 + 19 * static_cast<double>(i / 2);
      stroke(i + 1);
      add("stroke-width=\"2.5\" d=\"M{:.1f} {:.1f}h34\"/>", x, y - 4);
      add("<text x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"13\"><tspan font-weight=\"bold\">{}</tspan> "
          "{}</text>\n",
          x + 40, y, i + 1, xml_text(fitted(names_[i], kName)));
    }
    top_ = 40 + 19 * static_cast<double>((names_.size() + 1) / 2);
  }

  void stroke(std::size_t number) {
    add("<path fill=\"none\" stroke=\"{}\" stroke-linejoin=\"round\" ", kPens[number - 1]);
  }

  // The lowest and the highest of each column.
  std::vector<Spot> thinned(const std::vector<Spot>& spots) const {
    const auto column = [this](const Spot& spot) {
      return static_cast<std::size_t>(spot.days / days_.high * kColumns);
    };
    std::vector<Spot> kept;
    for (std::size_t i = 0; i < spots.size();) {
      std::size_t low = i, high = i, next = i;
      for (; next < spots.size() && column(spots[next]) == column(spots[i]); ++next) {
        if (spots[next].value < spots[low].value) low = next;
        if (spots[next].value > spots[high].value) high = next;
      }
      kept.push_back(spots[std::min(low, high)]);
      if (low != high) kept.push_back(spots[std::max(low, high)]);
      i = next;
    }
    return kept;
  }

  void panel(const std::vector<Line>& lines, double top, double bottom, const std::string& title, int most,
             bool gravity) {
    double low = lines.front().spots.front().value, high = low;
    for (const Line& line : lines) {
      for (const auto* spots : {&line.spots, &line.ahead}) {
        for (const Spot& spot : *spots) {
          low = std::min(low, spot.value);
          high = std::max(high, spot.value);
        }
      }
    }
    const double least = !gravity ? 3 : plato() ? 1 : 0.004;
    if (high - low < least) {
      const double middle = (low + high) / 2;
      low = middle - least / 2;
      high = middle + least / 2;
    }
    const double step = round_step(high - low, most);
    const PlotAxis axis{std::floor(low / step) * step, std::ceil(high / step) * step, bottom, top};
    add("<text x=\"12\" y=\"{:.1f}\" font-weight=\"bold\">{}</text>\n", top - 10, title);
    const int decimals = gravity && !plato() ? (step < 0.001 ? 4 : 3) : step < 1 ? 1 : 0;
    for (const double value : round_values(axis.low, axis.high, step)) {
      const double y = axis.place(value);
      add("<path d=\"M{} {:.1f}H{}\" stroke=\"#d8d8d8\"/><text x=\"{}\" y=\"{:.1f}\" "
          "text-anchor=\"end\">{:.{}f}</text>\n",
          kLeft, y, kRight, kLeft - 6, y + 5, value == 0 ? 0.0 : value, decimals);
    }
    for (const Line& line : lines) draw(line, axis, gravity);
    if (gravity) ends(lines, axis);
  }

  void draw(const Line& line, const PlotAxis& axis, bool gravity) {
    stroke(line.number);
    add("stroke-width=\"{}\" d=\"", gravity ? "2.5" : "1.8");
    const std::vector<Spot> spots = thinned(line.spots);
    for (std::size_t i = 0; i < spots.size(); ++i) {
      add("{}{:.1f} {:.1f}", i == 0 ? 'M' : 'L', days_.place(spots[i].days), axis.place(spots[i].value));
    }
    out_ += spots.size() == 1 ? "h0\"/>\n" : "\"/>\n";
    if (line.ahead.size() < 2) return;
    stroke(line.number);
    out_ += "stroke-width=\"1.5\" stroke-dasharray=\"6 5\" d=\"";
    for (std::size_t i = 0; i < line.ahead.size(); ++i) {
      add("{}{:.1f} {:.1f}", i == 0 ? 'M' : 'L', days_.place(line.ahead[i].days),
          axis.place(line.ahead[i].value));
    }
    out_ += "\"/>\n";
  }

  // The number of each line where it ends, moved apart.
  void ends(const std::vector<Line>& lines, const PlotAxis& axis) {
    std::vector<std::pair<double, double>> taken;
    for (const Line& line : lines) {
      const double x = days_.place(line.spots.back().days) + 11;
      double y = axis.place(line.spots.back().value);
      while (std::any_of(taken.begin(), taken.end(), [&](const auto& other) {
        return std::abs(other.first - x) < 15 && std::abs(other.second - y) < 16;
      })) {
        y -= 4;
      }
      taken.emplace_back(x, y);
      add("<circle cx=\"{0:.1f}\" cy=\"{1:.1f}\" r=\"8\" fill=\"{2}\"/><text x=\"{0:.1f}\" y=\"{3:.1f}\" "
          "font-size=\"12\" font-weight=\"bold\" fill=\"#ffffff\" text-anchor=\"middle\">{4}</text>\n",
          x, y, kPens[line.number - 1], y + 4, line.number);
    }
  }

  void time_axis() {
    const double step = std::max(round_step(days_.high, 8), 0.1);
    for (const double day : round_values(0, days_.high, step)) {
      const double x = days_.place(day);
      add("<path d=\"M{0:.1f} {1}v5\" stroke=\"#1c1c1c\"/><text x=\"{0:.1f}\" y=\"384\" "
          "text-anchor=\"middle\" "
          "font-size=\"13\">{2:g}</text>\n",
          x, kCelsiusBottom, day == 0 ? 0.0 : day);
    }
    add("<text x=\"{}\" y=\"398\" text-anchor=\"end\" font-size=\"12\">days since the pitch</text>\n",
        kRight);
  }

  std::span<const ComparedBatch> batches_;
  const DisplaySettings& display_;
  const Alignment align_;
  std::vector<std::string> names_;
  std::vector<Line> gravities_, warmths_;
  std::string words_ = "Gravity and temperature over the days since the pitch.";
  double longest_ = 0;
  double top_ = 0;
  PlotAxis days_{0, 1, kLeft, kRight};
  std::string out_;
};

}  // namespace

std::string comparison_svg(std::span<const ComparedBatch> batches, const DisplaySettings& display,
                           Alignment align) {
  return Comparison(batches, display, align).drawn();
}

}  // namespace gyle
