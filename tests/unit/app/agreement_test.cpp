// One estimate, one interval: whoever asks at the same moment gets the same numbers, however they are written.
#include <catch2/catch.hpp>
#include <cmath>
#include <nlohmann/json.hpp>
#include <regex>
#include <sstream>

#include "base/rfc3339.h"
#include "rehearsal/rehearsal.h"
#include "running_daemon.h"
#include "units/gravity.h"
#include "wording/display.h"

using namespace gyle;

namespace {

// The last row of the curve, by the name of the column.
std::map<std::string, std::string> last_row(const std::string& csv) {
  std::istringstream lines(csv);
  std::string header, line, last;
  std::getline(lines, header);
  while (std::getline(lines, line)) last = line;
  std::map<std::string, std::string> row;
  const auto next = [](std::string& rest) {
    const std::size_t end = std::min(rest.find_first_of(",\r"), rest.size());
    const std::string field = rest.substr(0, end);
    rest.erase(0, std::min(end + 1, rest.size()));
    return field;
  };
  while (!header.empty() && header != "\r") {
    const std::string name = next(header);
    row[name] = next(last);
  }
  return row;
}

double number(const std::map<std::string, std::string>& row, const char* column) {
  return std::stod(row.at(column));
}

// The numbers of the first match; fails when there is none.
std::vector<double> numbers(const std::string& text, const std::string& pattern) {
  std::smatch match;
  CAPTURE(text, pattern);
  REQUIRE(std::regex_search(text, match, std::regex(pattern)));
  std::vector<double> found;
  for (std::size_t i = 1; i < match.size(); ++i) found.push_back(std::stod(match[i]));
  return found;
}

}  // namespace

TEST_CASE("the curve's CSV, explain, the card and the API show the same gravity and interval") {
  RehearsalOptions options;
  options.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  options.interval = minutes(60);
  const Rehearsal rehearsal = rehearse(options).value();
  test::RunningDaemon daemon;
  REQUIRE(daemon.watch->pitch("cellar", rehearsal.spec));
  int compared = 0;
  int offset_matters = 0;  // the interval without the doubt about the offset would be another
  for (std::size_t i = 0; i < rehearsal.messages.size(); ++i) {
    daemon.deliver(rehearsal.messages[i].readings, rehearsal.messages[i].delivered);
    if (i % 97 != 96) continue;
    const auto row = last_row(daemon.ask("GET", "/v1/batches/1/curve").body);
    const double csv[] = {number(row, "gravity"), number(row, "gravity_low"), number(row, "gravity_high")};
    CAPTURE(row.at("time"), csv[0], csv[1], csv[2]);
    const nlohmann::json view = daemon.answer("GET", "/v1/batches/1").at("view");
    const char* const names[] = {"value", "low", "high"};
    constexpr double kCsv = 0.5e-5 + 1e-9;  // half of its last digit
    for (int k = 0; k < 3; ++k) {
      CHECK(std::abs(view.at("gravity_sg").at(names[k]).get<double>() - csv[k]) <= kCsv);
    }
    for (const bool plato : {false, true}) {
      DisplaySettings display;
      if (plato) display.gravity = DisplaySettings::Gravity::plato;
      const auto in_units = [&](double sg) {
        return plato ? to_plato(SpecificGravity::unchecked(sg)).value : sg;
      };
      const auto ask = [&](const char* target) {
        return respond({"GET", target, "", ""}, *daemon.cellar, display).body;
      };
      const std::string unit = plato ? " °P" : "";
      // 0.001 SG is at most 0.26 °P.
      const double digit = plato ? 0.005 + 260 * kCsv : 0.5e-4 + kCsv;
      const std::string explained = ask("/v1/batches/1/explanation");
      const auto sentence = numbers(explained, "gravity (-?[0-9.]+)" + unit + ", between (-?[0-9.]+)" + unit +
                                                   " and (-?[0-9.]+)" + unit);
      for (std::size_t k = 0; k < 3; ++k) CHECK(std::abs(sentence[k] - in_units(csv[k])) <= digit);
      const auto card = numbers(ask("/v1/batches/1"), "(-?[0-9.]+) ± ([0-9.]+)" + unit);
      const double card_digit = plato ? 0.05 + 260 * kCsv : digit;
      CHECK(std::abs(card[0] - in_units(csv[0])) <= card_digit);
      CHECK(std::abs(card[1] - (in_units(csv[2]) - in_units(csv[1])) / 2) <= card_digit);
    }
    ++compared;
    const auto& offset = view.at("offset_points");
    offset_matters += offset.at("high").get<double>() - offset.at("low").get<double>() > 0.5 ? 1 : 0;
  }
  CHECK(compared >= 5);
  CHECK(offset_matters >= 3);
}
