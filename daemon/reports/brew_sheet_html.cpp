#include "reports/brew_sheet_html.h"

#include <fmt/format.h>

#include <cmath>

#include "reports/xml_text.h"
#include "wording/fitted_text.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr std::string_view kStyle = R"(
:root { color-scheme: light dark; --paper: #fff; --ink: #111; --soft: #3d3d3d; --rule: #8a8a8a; --care: #7a2e00; }
@media screen and (prefers-color-scheme: dark) {
  :root { --paper: #16191d; --ink: #eceae4; --soft: #b7bbbf; --rule: #565c63; --care: #ffc9a3; }
}
* { box-sizing: border-box; }
body { margin: 0 auto; max-width: 48rem; padding: 1rem; background: var(--paper); color: var(--ink);
  font: 1rem/1.35 system-ui, sans-serif; overflow-wrap: break-word; }
header { display: flex; flex-wrap: wrap; justify-content: space-between; align-items: baseline; gap: 0 1.5rem;
  border-bottom: 2px solid var(--ink); margin-bottom: 0.5rem; }
h1 { font: 600 1.5rem/1.2 Georgia, "DejaVu Serif", serif; margin: 0 0 0.2rem; }
h2 { font: 600 1.05rem/1.2 Georgia, "DejaVu Serif", serif; margin: 0.7rem 0 0.25rem; }
p { margin: 0; }
dl { display: grid; grid-template-columns: repeat(3, 1fr); gap: 0.35rem 1.1rem; margin: 0; }
@media screen and (max-width: 34rem) { dl { grid-template-columns: 1fr; } }
dt { color: var(--soft); font-size: 0.85rem; }
dd { margin: 0; font-weight: 600; font-size: 1.12rem; font-variant-numeric: tabular-nums; }
dd small { display: block; font-weight: 400; font-size: 0.8rem; line-height: 1.25; color: var(--soft); }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: 0.22rem 0.7rem 0.22rem 0;
  border-bottom: 1px solid var(--rule); }
td:last-child { padding-right: 0; }
th, .step { font-weight: 600; }
th { white-space: nowrap; }
tbody th, .step { font-size: 1.1rem; }
.box { width: 2.6rem; }
.box input { appearance: none; display: inline-block; width: 1rem; height: 1rem; margin: 0; border: 1.5px solid var(--ink); }
#next { display: none; }
@media screen {
  .box { width: 3rem; }
  .box input { appearance: auto; width: 1.75rem; height: 1.75rem; }
  .is-done th, .is-done td { color: var(--soft); text-decoration: line-through; }
  .is-next th { box-shadow: inset 4px 0 currentColor; padding-left: 0.6rem; }
  #next:not([hidden]) { display: flex; flex-wrap: wrap; gap: 0 0.8rem; align-items: baseline; position: sticky; top: 0;
    background: var(--paper); border-bottom: 1px solid var(--rule); padding: 0.5rem 0; font-size: 1.15rem; }
  #next b { flex: 1 1 12rem; }
  #next span { font-variant-numeric: tabular-nums; font-weight: 600; white-space: nowrap; }
  #next button { font: inherit; min-height: 2.75rem; padding: 0 0.9rem; }
}
.care { color: var(--care); }
.fill { display: grid; grid-template-columns: repeat(4, 1fr); gap: 0.3rem 1rem; margin-top: 0.2rem; }
.fill span { border-bottom: 1px solid var(--ink); padding-top: 1.1rem; font-size: 0.8rem; color: var(--soft); }
footer { color: var(--soft); font-size: 0.75rem; line-height: 1.3; margin-top: 0.6rem; }
@page { margin: 11mm 13mm; }
@media print {
  :root { --care: #000; }
  body { max-width: none; padding: 0; }
  .care { font-style: italic; }
  tr { break-inside: avoid; }
}
)";

// Boxes stay ticked on the device, and the next step counts down. The policy in the head names this text by its hash;
// the test in a browser (tests/page/brew_sheet.test.mjs) fails when it does not fit.
constexpr std::string_view kScript = R"(
const rows = [...document.querySelectorAll('tbody tr')];
const key = 'gylekeeper-sheet ' + document.title + ' ' + document.body.dataset.start;
let kept = {};
try { kept = JSON.parse(localStorage.getItem(key)) ?? {}; } catch { /* none is kept here */ }
const keep = () => { try { localStorage.setItem(key, JSON.stringify(kept)); } catch { /* not allowed */ } };
const place = document.getElementById('next');
const start = () => Number(document.body.dataset.start || kept.start || 0);
const hours = (s) => Math.floor(s / 3600) + ' h ' + Math.floor(s % 3600 / 60) + ' min';
const length = (s) => (s < 3600 ? Math.floor(s / 60) + ':' + String(Math.floor(s % 60)).padStart(2, '0') : hours(s));
const late = (s) => (s < 3600 ? Math.floor(s / 60) + ' min' : hours(s)) + ' ago';
function tell() {
  const row = rows.find((one) => !one.querySelector('input').checked);
  for (const one of rows) one.classList.toggle('is-next', one === row);
  const [what, when, button] = place.children;
  what.textContent = row ? row.querySelector('.step').textContent : 'All is done.';
  const left = row && start() ? start() + Number(row.dataset.after) - Date.now() / 1000 : null;
  when.textContent = left === null ? '' : left > 0 ? 'in ' + length(left) : left > -60 ? 'now' : late(-left);
  button.hidden = start() > 0 || !row;
}
rows.forEach((row, i) => {
  const box = row.querySelector('input');
  box.checked = Boolean(kept[i]);
  row.classList.toggle('is-done', box.checked);
  box.addEventListener('change', () => { kept[i] = box.checked; row.classList.toggle('is-done', box.checked); keep(); tell(); });
});
place.children[2].addEventListener('click', () => { kept.start = Date.now() / 1000; keep(); tell(); });
place.hidden = false;
tell();
setInterval(tell, 1000);
)";
constexpr std::string_view kScriptHash = "SylN3PLjioFfKJqj3gIE606qOvpp97T991qlAm6+pJo=";

class Sheet {
 public:
  Sheet(const Recipe& recipe, const BrewPlan& plan, const DaySheet& sheet, std::optional<Time> start,
        const DisplaySettings& display)
      : recipe_(recipe), plan_(plan), sheet_(sheet), start_(start), display_(display) {}

  std::string written(std::string_view version) && {
    add("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" "
        "content=\"width=device-width\">\n<meta http-equiv=\"Content-Security-Policy\" content=\"default-src "
        "'none'; style-src "
        "'unsafe-inline'; script-src 'sha256-{}'\">\n<title>Brew day: {}</title>\n<style>{}@media print {{ "
        ":root {{ "
        "font-size: {:.1f}pt; }} }}\n</style>\n</head>\n<body data-start=\"{}\">\n",
        kScriptHash, xml_text(recipe_.name), kStyle, print_size(),
        start_ ? fmt::format("{}", in_seconds(start_->time_since_epoch())) : "");
    add("<header><h1>{}</h1><p>{}</p></header>\n<main>\n", xml_text(recipe_.name),
        start_ ? xml_text(show_time(*start_, display_)) : "times count from the start");
    out_ += "<p id=\"next\" hidden><b></b><span></span><button type=\"button\">Start now</button></p>\n";
    numbers();
    ingredients();
    steps();
    measured();
    out_ += "</main>\n<footer>\n";
    out_ += "<p>";
    for (const std::string& one : plan_assumptions(recipe_, plan_, sheet_, display_))
      add("{} ", xml_text(one));
    add("Hot liquid, gas and electricity: local rules and licensed trades come before this sheet. "
        "Gylekeeper {}. Times are calculated, not measured: the kettle "
        "decides.</p>\n</footer>\n<script type=\"module\">{}</script>\n</body>\n</html>\n",
        xml_text(version), kScript);
    return std::move(out_);
  }

 private:
  template <class... Parts>
  void add(fmt::format_string<Parts...> pattern, Parts&&... parts) {
    fmt::format_to(std::back_inserter(out_), pattern, std::forward<Parts>(parts)...);
  }

  // The largest print, in points, with which the day stays on a page of Letter, which is the shorter one, set
  // in a broad typeface: what stands around the steps takes so many lines of text, each step as many as its
  // words need.
  double print_size() const {
    constexpr double kLargest = 12, kSmallest = 7;
    constexpr double kWidth = 538, kHeight = 725;  // points within the margins
    constexpr double kCharacter = 0.58, kLine = 1.35, kBesideWords = 7, kBetweenSteps = 0.8;
    const double rows = std::ceil(static_cast<double>(plan_facts(recipe_, plan_, display_).size()) / 3);
    const double around = 29 + 4 * (rows - 2);
    for (double size = kLargest; size > kSmallest; size -= 0.1) {
      const double characters = (kWidth / size - kBesideWords) / kCharacter;
      std::size_t grain = 0;
      for (const Fermentable& one : recipe_.grain) grain += columns(one.name) + 12;
      double height = around + kLine * std::ceil(static_cast<double>(grain) / characters);
      for (const DayStep& step : sheet_.steps) {
        const auto length =
            static_cast<double>(columns(step.what) + columns(step.how) + columns(step.caution));
        height += kBetweenSteps + kLine * std::ceil((length + 4) / characters);
      }
      if (height * size <= kHeight) return size;
    }
    return kSmallest;
  }

  void numbers() {
    out_ += "<dl>\n";
    for (const PlanFact& fact : plan_facts(recipe_, plan_, display_)) {
      add("<div><dt>{}</dt><dd>{}<small>{}</small></dd></div>\n", xml_text(fact.label), xml_text(fact.value),
          xml_text(fact.more));
    }
    out_ += "</dl>\n";
  }

  // The grain; what goes into the boil stands with its step.
  void ingredients() {
    out_ += "<h2>Grain</h2>\n<p>";
    const char* between = "";
    for (const Fermentable& one : recipe_.grain) {
      add("{}{} {}", between, show_mass(one.mass_kg, display_), xml_text(one.name));
      between = " · ";
    }
    out_ += "</p>\n";
  }

  std::string moment(Duration at) const {
    if (start_) return show_clock(*start_ + at, display_);
    const auto all = at / minutes(1);
    return fmt::format("+{}:{:02}", all / 60, all % 60);
  }

  void steps() {
    out_ +=
        "<h2>The day</h2>\n<table>\n<thead><tr><th scope=\"col\">At</th><th scope=\"col\">What to do</th>"
        "<th scope=\"col\">Done</th></tr></thead>\n<tbody>\n";
    for (const DayStep& step : sheet_.steps) {
      add("<tr data-after=\"{}\"><th scope=\"row\">{}</th><td><span class=\"step\">{}.</span> {}{}</td>"
          "<td class=\"box\"><input type=\"checkbox\" aria-label=\"Done: {}\"></td></tr>\n",
          in_seconds(step.at), moment(step.at), xml_text(step.what), xml_text(step.how),
          step.caution.empty() ? "" : fmt::format(" <span class=\"care\">{}</span>", xml_text(step.caution)),
          xml_text(step.what));
    }
    out_ += "</tbody>\n</table>\n";
  }

  void measured() {
    out_ += "<h2>Measured</h2>\n<div class=\"fill\">\n";
    for (const char* what :
         {"mash temperature", "gravity half way", "volume before the boil", "gravity before the boil",
          "volume in the fermenter", "original gravity", "pitched at (time)", "pitch temperature"}) {
      add("<span>{}</span>\n", what);
    }
    out_ += "</div>\n";
  }

  const Recipe& recipe_;
  const BrewPlan& plan_;
  const DaySheet& sheet_;
  std::optional<Time> start_;
  const DisplaySettings& display_;
  std::string out_;
};

}  // namespace

std::string brew_sheet_html(const Recipe& recipe, const BrewPlan& plan, const DaySheet& sheet,
                            std::optional<Time> start, const DisplaySettings& display,
                            std::string_view version) {
  return Sheet(recipe, plan, sheet, start, display).written(version);
}

}  // namespace gyle
