#include "reports/report_html.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

#include "base/rfc3339.h"
#include "base/zone_words.h"
#include "fermentation/hindsight.h"
#include "reports/comparison_svg.h"
#include "reports/curve_svg.h"
#include "reports/report_style.h"
#include "reports/xml_text.h"
#include "units/us_customary.h"
#include "wording/addition_words.h"
#include "wording/alert_title.h"
#include "wording/evidence_words.h"
#include "wording/explanation.h"
#include "wording/fill_lines.h"
#include "wording/format.h"

namespace gyle {
namespace {

std::string percent(double fraction) { return fmt::format("{:.1f} %", 100 * fraction); }

// Text of several lines; elsewhere line breaks are replaced.
std::string lines_text(std::string_view text) {
  std::string out;
  for (std::size_t begin = 0; begin <= text.size();) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    std::string_view line = text.substr(begin, end - begin);
    if (line.ends_with('\r')) line.remove_suffix(1);
    out += (begin == 0 ? "" : "<br>") + xml_text(line);
    begin = end + 1;
  }
  return out;
}

struct HoldEndText {
  const DisplaySettings& display;

  std::string operator()(const UntilProgress& until) const {
    return fmt::format("until {} of the expected fall", show_percent(until.fraction));
  }
  std::string operator()(const UntilAttenuation& until) const {
    return fmt::format("until {} attenuation", show_percent(until.apparent));
  }
  std::string operator()(const UntilDays& until) const {
    return fmt::format("for {}", show_length(from_hours(until.days * 24)));
  }
  std::string operator()(const UntilGravity& until) const {
    return fmt::format("until {}", show_gravity(until.gravity.value(), display));
  }
  std::string operator()(const UntilFinalGravity&) const { return "until final gravity"; }
};

class Report {
 public:
  Report(std::span<const BatchStory> stories, const DisplaySettings& display, Time now,
         std::string_view version, Alignment align)
      : stories_(stories.first(std::min(stories.size(), kMostReported))),
        display_(display),
        now_(now),
        align_(align) {
    const bool several = stories_.size() > 1;
    const std::string title =
        several ? fmt::format("{} batches compared", stories_.size()) : stories_.front().spec.name;
    add("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
        "<meta name=\"color-scheme\" content=\"light dark\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src "
        "'unsafe-inline'\">\n"
        "<title>{}</title>\n<style>{}</style>\n</head>\n<body>\n",
        xml_text(title), report_style());
    if (several) {
      add("<header><h1>{}</h1></header>\n<main>\n", xml_text(title));
      comparison();
      heading_ = 2;
    } else {
      out_ += "<main>\n";
    }
    for (std::size_t i = 0; i < stories_.size(); ++i) article(stories_[i], i + 1);
    out_ += "</main>\n";
    foot(version);
    out_ += "</body>\n</html>\n";
  }

  std::string written() && { return std::move(out_); }

 private:
  template <typename... Args>
  void add(fmt::format_string<Args...> format, Args&&... args) {
    fmt::format_to(std::back_inserter(out_), format, std::forward<Args>(args)...);
  }

  void heading(const char* text) { add("<h{0}>{1}</h{0}>\n", heading_ + 1, text); }

  std::string moment(Time time) const {
    return fmt::format("<time datetime=\"{}\">{}</time>", format_rfc3339(time),
                       show_time_from(time, display_, now_));
  }
  std::string day(Time time) const {
    return fmt::format("<time datetime=\"{}\">{}</time>", format_rfc3339(time), show_date(time, display_));
  }
  std::string gravity(double sg) const { return show_gravity(sg, display_, 4); }

  // A picture, without the parts that only a separate file needs.
  void picture(const std::string& svg, const std::string& caption) {
    std::string_view drawn = svg;
    if (const auto at = drawn.find("<svg "); at != std::string_view::npos) drawn.remove_prefix(at + 5);
    add("<figure>\n<div class=\"wide\" role=\"region\" aria-label=\"Picture\" tabindex=\"0\">\n<svg "
        "role=\"img\" {}</div>\n<figcaption>{}</figcaption>\n</figure>\n",
        drawn, caption);
  }

  void comparison() {
    std::vector<ComparedBatch> compared;
    std::vector<std::vector<CurvePoint>> curves;
    for (const BatchStory& story : stories_) curves.push_back(in_hindsight(story.curve, story.view));
    out_ += "<nav aria-label=\"Batches\"><ol>\n";
    for (std::size_t i = 0; i < stories_.size(); ++i) {
      const BatchStory& story = stories_[i];
      compared.push_back({story.spec.name, story.spec.pitched, curves[i], story.view.started,
                          story.packaged ? Forecast{} : story.view.forecast});
      add("<li><a href=\"#batch-{}\">{}</a></li>\n", i + 1, xml_text(story.spec.name));
    }
    out_ += "</ol></nav>\n";
    picture(comparison_svg(compared, display_, align_),
            align_ == Alignment::start
                ? "Each batch from when it started to ferment: gravity above, the beer's temperature below."
                : "Each batch from its own pitch: gravity above, the beer's temperature below.");
    out_ +=
        "<div class=\"wide\" role=\"region\" aria-label=\"The batches in numbers\" "
        "tabindex=\"0\"><table>\n<caption>The batches in numbers</caption>\n<thead><tr><th "
        "scope=\"col\">Batch</th>"
        "<th scope=\"col\">Pitched</th><th scope=\"col\">Original</th><th scope=\"col\">Now or last</th>"
        "<th scope=\"col\">Attenuation</th><th scope=\"col\">Alcohol</th><th scope=\"col\">Days</th>"
        "<th scope=\"col\">Beer, average</th></tr></thead>\n<tbody>\n";
    for (std::size_t i = 0; i < stories_.size(); ++i) {
      const BatchStory& story = stories_[i];
      const StoryFigures figures = figures_of(story);
      const BatchView& view = story.view;
      add("<tr><th scope=\"row\">{}. {}</th><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td>{:.1f}"
          "</td><td>{}</td></tr>\n",
          i + 1, xml_text(story.spec.name), day(story.spec.pitched),
          story.spec.original_gravity ? gravity(story.spec.original_gravity->value())
          : view.original_gravity     ? gravity(*view.original_gravity)
                                      : "not known",
          view.gravity ? gravity(view.gravity->value) : "not known",
          view.attenuation ? show_percent(*view.attenuation) : "not known",
          figures.alcohol ? percent(figures.alcohol->volume_balling) : "not known",
          std::max(0.0, in_days(story.packaged.value_or(view.time) - story.spec.pitched)),
          figures.beer ? show_temperature(figures.beer->value, display_) : "not known");
    }
    out_ += "</tbody></table></div>\n";
  }

  void article(const BatchStory& story, std::size_t number) {
    const StoryFigures figures = figures_of(story);
    add("<article id=\"batch-{}\">\n<h{}>{}</h{}>\n", number, heading_, xml_text(story.spec.name), heading_);
    lead(story);
    cautions(story, figures);
    heading("The curve");
    std::vector<UsedReading> measured;
    for (const StorySample& sample : story.samples) {
      measured.push_back({sample.time, Quantity::sample, sample.gravity.value()});
    }
    picture(curve_svg(story.spec, in_hindsight(story.curve, story.view), story.view.forecast, marks_of(story),
                      display_, {measured, story.ambient}),
            caption(story));
    numbers(story, figures);
    at_packaging(story, figures);
    timeline(story);
    temperatures(story, figures);
    decisions(story);
    samples(story);
    prospects(story, figures);
    out_ += "</article>\n";
  }

  std::string caption(const BatchStory& story) const {
    std::string text =
        "Gravity with its 80 % band, the readings, hand samples as diamonds, and what was noticed; below, "
        "the beer's temperature, what the plan wanted, and the range of the ambient temperature by the day.";
    if (story.view.offset && std::abs(story.view.offset->value.value) > 0.05) {
      text += " How far the hydrometer reads off, by what is known now, is corrected.";
    }
    return text;
  }

  void lead(const BatchStory& story) {
    add("<p class=\"soft\">Pitched {} in {}{}.</p>\n", day(story.spec.pitched), xml_text(story.vessel),
        story.packaged ? fmt::format(", packaged {}", day(*story.packaged)) : "");
    for (const Paragraph& one : explained(story)) {
      if (one.heading != "Where it stands") continue;
      out_ += "<p>";
      for (const std::string& sentence : one.sentences) out_ += xml_text(sentence) + " ";
      out_ += "</p>\n";
    }
  }

  std::vector<Paragraph> explained(const BatchStory& story) const {
    return explanation(story.spec, story.view, story.alerts, display_, story.packaged.value_or(now_));
  }

  static std::vector<CurveMark> marks_of(const BatchStory& story) {
    std::vector<CurveMark> marks;
    for (const ReportedDecision& one : story.alerts) {
      marks.push_back({one.decision.time, one.decision.kind, one.decision.state, one.decision.step});
    }
    return marks;
  }

  void cautions(const BatchStory& story, const StoryFigures& figures) {
    std::vector<std::string> all;
    const BatchView& view = story.view;
    if (view.stage == Stage::stuck) {
      all.emplace_back(
          "Fermentation seems to have stopped early. Do not package it like this: what is left may "
          "ferment on in the bottle.");
    }
    if (story.packaged && !view.final_gravity_since) {
      all.emplace_back(
          "It was packaged before its final gravity was found stable. If sugar was left, pressure "
          "in closed bottles can become dangerous: keep them cool, look at one often.");
    } else if (!story.packaged && view.known && view.old_at(now_)) {
      all.push_back(
          fmt::format("Its gravity has not been known since {}: measure a sample before you package it.",
                      show_time_from(*view.known, display_, now_)));
    } else if (!story.packaged && !view.final_gravity_since && view.stage != Stage::stuck) {
      all.emplace_back("Final gravity is not reached for certain yet; it is too early to package.");
    }
    if (view.original_gravity_inferred) {
      all.emplace_back(
          "The original gravity was not given but inferred from the readings; attenuation and "
          "alcohol depend on it.");
    }
    if (view.gravity && view.gravity->high - view.gravity->low > 0.004) {
      all.push_back(
          fmt::format("The gravity is known to {} only. A hand sample narrows it.",
                      show_gravity_change(500 * (view.gravity->high - view.gravity->low), display_)));
    }
    if (figures.longest_gap > hours(12)) {
      all.push_back(
          fmt::format("For {} at a stretch there was no gravity reading; what happened then was not "
                      "seen.",
                      show_length(figures.longest_gap)));
    }
    for (const SensorHealth& sensor : view.sensors) {
      if (sensor.silent || sensor.frozen || sensor.implausible) {
        all.push_back(fmt::format("The sensor {} {}; nothing was concluded from it since.", sensor.sensor,
                                  sensor.silent   ? "was silent at the end"
                                  : sensor.frozen ? "showed one and the same value at the end"
                                                  : "reported what cannot be true at the end"));
      }
    }
    if (all.empty()) return;
    out_ += "<section class=\"care\" aria-label=\"Cautions\"><ul>\n";
    for (const std::string& one : all) add("<li>{}</li>\n", xml_text(one));
    out_ += "</ul></section>\n";
  }

  void figure(const char* what, const std::string& value, const std::string& more = "") {
    add("<div><dt>{}</dt><dd>{}{}</dd></div>\n", what, xml_text(value),
        more.empty() ? "" : fmt::format("<small>{}</small>", xml_text(more)));
  }

  void numbers(const BatchStory& story, const StoryFigures& figures) {
    const BatchView& view = story.view;
    heading("In numbers");
    out_ += "<dl class=\"figures\">\n";
    if (view.original_gravity) {
      const auto& given = story.spec.original_gravity;
      figure("Original gravity", gravity(given ? given->value() : *view.original_gravity),
             given ? "as given" : "inferred from the readings");
    }
    if (view.gravity) {
      figure(view.final_gravity_since ? "Final gravity"
             : story.packaged         ? "Last gravity"
                                      : "Gravity now",
             gravity(view.gravity->value),
             fmt::format("between {} and {} in 8 of 10 cases", gravity(view.gravity->low),
                         gravity(view.gravity->high)));
    }
    if (figures.alcohol) {
      figure("Alcohol by volume", percent(figures.alcohol->volume_balling),
             figures.alcohol_volume
                 ? fmt::format("between {} and {} by the doubt about the gravity; by Balling's equations",
                               percent(figures.alcohol_volume->low), percent(figures.alcohol_volume->high))
                 : "by Balling's equations");
    }
    if (view.attenuation) {
      const Yeast& yeast = story.spec.yeast;
      figure("Apparent attenuation",
             *view.attenuation < 0.005 ? "not yet fallen" : show_percent(*view.attenuation),
             fmt::format("{}{} to {} expected of the yeast",
                         figures.alcohol
                             ? fmt::format("real {}; ", show_percent(figures.alcohol->real_attenuation))
                             : "",
                         show_percent(yeast.attenuation_low), show_percent(yeast.attenuation_high)));
    }
    if (story.spec.volume_l) {
      figure("Volume", show_volume(*story.spec.volume_l, display_));
    }
    if (!story.spec.yeast.name.empty()) figure("Yeast", story.spec.yeast.name);
    figure("Time in the vessel", show_length(story.packaged.value_or(view.time) - story.spec.pitched),
           view.started ? fmt::format("fermentation seen {} after the pitch",
                                      show_length(*view.started - story.spec.pitched))
                        : "");
    out_ += "</dl>\n";
  }

  // Figures that only a finished beer has.
  void at_packaging(const BatchStory& story, const StoryFigures& figures) {
    if (!story.view.final_gravity_since || !figures.alcohol || !figures.energy_100_ml) return;
    const AlcoholRoutes& alcohol = *figures.alcohol;
    heading("At packaging");
    out_ += "<dl class=\"figures\">\n";
    figure("Alcohol by every route",
           fmt::format("{:.1f} to {}", 100 * alcohol.least_volume(), percent(alcohol.most_volume())),
           fmt::format("by volume: Balling's equations {}, his quotient {}, {}131.25 times the fall {}",
                       percent(alcohol.volume_balling), percent(alcohol.volume_quotient),
                       alcohol.volume_uk_table
                           ? fmt::format("the UK's table {}, ", percent(*alcohol.volume_uk_table))
                           : "",
                       percent(alcohol.volume_rule)));
    figure("Alcohol by weight", percent(alcohol.weight_balling),
           fmt::format("real extract {:.1f} %", alcohol.real_extract.value));
    figure("Energy", fmt::format("{:.0f} kcal in 100 mL", figures.energy_100_ml->kcal),
           fmt::format("{:.0f} kJ; {:.0f} kcal in 500 mL, {:.0f} in 12 fl oz", figures.energy_100_ml->kj,
                       5 * figures.energy_100_ml->kcal,
                       120 * kLitresPerUsFluidOunce * figures.energy_100_ml->kcal));
    if (figures.residual_co2) {
      figure("Carbon dioxide left in it", fmt::format("{:.2f} volumes", *figures.residual_co2),
             fmt::format("at atmospheric pressure, by {}, the warmest since it ended; within a tenth",
                         show_temperature(*figures.warmest_celsius, display_)));
    }
    out_ += "</dl>\n";
  }

  void timeline(const BatchStory& story) {
    struct Entry {
      Time time;
      std::string html;
    };
    std::vector<Entry> entries{{story.spec.pitched, "Yeast pitched"}};
    for (const ReportedDecision& one : story.alerts) {
      const Decision& d = one.decision;
      std::string title = alert_title(d.kind, d.state, "", d.sensor);
      if (title.starts_with(": ")) title.erase(0, 2);
      if (!title.empty() && title[0] >= 'a' && title[0] <= 'z')
        title[0] = static_cast<char>(title[0] - 'a' + 'A');
      entries.push_back({d.time, xml_text(title)});
    }
    for (const StorySample& sample : story.samples) {
      entries.push_back({sample.time, fmt::format("Measured by hand: {}", gravity(sample.gravity.value()))});
    }
    for (const StoryNote& note : story.notes)
      entries.push_back({note.time, (note.tasting ? "Tasted: " : "Note: ") + lines_text(note.text)});
    for (const Addition& one : story.spec.additions)
      entries.push_back({one.time, "Added: " + xml_text(addition_words(one, display_))});
    if (story.packaged) entries.push_back({*story.packaged, "Packaged"});
    for (const Fill& fill : story.fills)
      entries.push_back({fill.time, "Filled: " + xml_text(fill_words(fill, display_))});
    std::stable_sort(entries.begin(), entries.end(), [](auto& a, auto& b) { return a.time < b.time; });
    heading("What happened");
    out_ += "<ol class=\"time\">\n";
    for (const Entry& entry : entries) add("<li>{} <span>{}</span></li>\n", moment(entry.time), entry.html);
    out_ += "</ol>\n";
  }

  void temperatures(const BatchStory& story, const StoryFigures& figures) {
    heading("Temperatures");
    if (!figures.beer) {
      out_ += "<p>The beer's temperature was not measured.</p>\n";
    } else {
      const Yeast& yeast = story.spec.yeast;
      add("<p>The beer was at {} on average, between {} and {}. For {} of the time it was within the yeast's "
          "range, {}.</p>\n",
          show_temperature(figures.beer->value, display_), show_temperature(figures.beer->low, display_),
          show_temperature(figures.beer->high, display_), show_percent(*figures.within_range),
          show_temperature_range(yeast.temperature_low.value, yeast.temperature_high.value, display_));
    }
    if (story.spec.plan.empty()) return;
    out_ +=
        "<div class=\"wide\" role=\"region\" aria-label=\"The plan\" tabindex=\"0\"><table>\n<caption>The "
        "plan</caption>\n<thead><tr><th scope=\"col\">Hold</th><th scope=\"col\">Temperature</th>"
        "<th scope=\"col\">Kept</th><th scope=\"col\">Over</th></tr></thead>\n<tbody>\n";
    for (std::size_t i = 0; i < story.spec.plan.size(); ++i) {
      const Hold& hold = story.spec.plan[i];
      std::string over = "not yet";
      for (const ReportedDecision& one : story.alerts) {
        const Decision& d = one.decision;
        if (d.kind != AlertKind::step_due || d.step != static_cast<int>(i + 1)) continue;
        over = d.state == Decision::State::raised ? moment(d.time) : "not yet";
      }
      if (std::holds_alternative<UntilFinalGravity>(hold.until) && story.view.final_gravity_since) {
        over = moment(*story.view.final_gravity_since);
      }
      add("<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{}</td></tr>\n", i + 1,
          show_temperature(hold.temperature.value, display_),
          xml_text(std::visit(HoldEndText{display_}, hold.until)), over);
    }
    out_ += "</tbody></table></div>\n";
  }

  void decisions(const BatchStory& story) {
    heading("Alerts sent, and why");
    if (story.alerts.empty()) {
      out_ += "<p>Nothing so far.</p>\n";
      return;
    }
    out_ += "<ul class=\"alerts\">\n";
    for (const ReportedDecision& one : story.alerts) {
      const std::string numbers = evidence_words(one.decision.evidence, display_);
      add("<li>{}{}{}</li>\n", moment(one.decision.time), lines_text(one.text),
          numbers.empty() ? ""
                          : fmt::format("<br><span class=\"soft\">Evidence: {}.</span>", xml_text(numbers)));
    }
    out_ += "</ul>\n";
  }

  void samples(const BatchStory& story) {
    if (story.samples.empty()) return;
    heading("Measured by hand");
    out_ +=
        "<div class=\"wide\" role=\"region\" aria-label=\"Hand samples\" tabindex=\"0\"><table>\n<caption>At "
        "20 °C, beside what was estimated at that time</caption>\n<thead><tr><th scope=\"col\">When</th>"
        "<th scope=\"col\">Sample</th><th scope=\"col\">Estimate</th></tr></thead>\n<tbody>\n";
    for (const StorySample& sample : story.samples) {
      const auto after = std::partition_point(story.curve.begin(), story.curve.end(),
                                              [&](const CurvePoint& p) { return p.time <= sample.time; });
      add("<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td></tr>\n", moment(sample.time),
          gravity(sample.gravity.value()),
          after == story.curve.begin()
              ? "none yet"
              : xml_text(show_gravity_with_doubt(std::prev(after)->gravity, display_)));
    }
    out_ += "</tbody></table></div>\n";
  }

  // What comes next, and how far all this can be trusted.
  void prospects(const BatchStory& story, const StoryFigures& figures) {
    for (const Paragraph& one : explained(story)) {
      const bool trust = one.heading == "How far the sensors are trusted";
      const bool waits = one.heading.starts_with("What comes next");
      if (!trust && !(waits && !story.packaged)) continue;
      heading(xml_text(one.heading).c_str());
      if (trust && !story.curve.empty()) {
        add("<p>{} gravity readings counted, from {} to {}; the longest gap between two was {}.</p>\n",
            story.curve.size(), moment(story.curve.front().time), moment(story.curve.back().time),
            show_length(figures.longest_gap));
      }
      out_ += "<ul>\n";
      for (const std::string& sentence : one.sentences) add("<li>{}</li>\n", xml_text(sentence));
      out_ += "</ul>\n";
    }
  }

  void foot(std::string_view version) {
    add("<footer><p>Written by Gylekeeper {} on {} at {}; times are in {}. Estimates come with an "
        "interval "
        "that holds the truth in 8 of 10 cases. Alcohol: Balling's equations from original and present "
        "gravity. "
        "Carbon dioxide: what beer holds at atmospheric pressure at its warmest since it ended (M. L. Hall, "
        "1995). Energy: factors of Regulation (EU) 1169/2011. A report is no measurement: before you close "
        "bottles, make sure of the final gravity by "
        "hand.</p></footer>\n",
        xml_text(version), day(now_), show_clock(now_, display_), xml_text(zone_words(display_.time_zone)));
  }

  std::span<const BatchStory> stories_;
  const DisplaySettings& display_;
  Time now_;
  const Alignment align_;
  int heading_ = 1;  // level of a batch's name
  std::string out_;
};

}  // namespace

std::string report_html(std::span<const BatchStory> stories, const DisplaySettings& display, Time now,
                        std::string_view version, Alignment align) {
  return stories.empty() ? std::string() : Report(stories, display, now, version, align).written();
}

}  // namespace gyle
