#include "wording/yeast_lines.h"

#include <fmt/format.h>

#include "wording/fitted_text.h"
#include "wording/format.h"
#include "wording/text_table.h"

namespace gyle {
namespace {

std::string days_words(double days) { return show_length(from_hours(24 * days)); }

std::string band_words(const AttenuationBand& band) {
  return fmt::format("{:.0f} to {:.0f} %", 100 * band.low, 100 * band.high);
}

std::string batches_words(std::size_t count) {
  return fmt::format("{} batch{}", count, count == 1 ? "" : "es");
}

std::string others_words(std::size_t others) {
  return others == 0
             ? ""
             : fmt::format("{} {} not come to a stable final gravity, or not yet, and {} not count",
                           batches_words(others), others == 1 ? "has" : "have", others == 1 ? "does" : "do");
}

std::vector<std::string> band_rows(std::span<const YeastAtTemperature> bands,
                                   const DisplaySettings& display) {
  std::vector<std::vector<std::string>> rows{{"Kept at", "Batches", "Attenuation", "Lag", "At its end"}};
  for (const YeastAtTemperature& band : bands) {
    const YeastSummary& summary = band.summary;
    rows.push_back({show_temperature_range(band.low.value, band.high.value, display),
                    std::to_string(summary.attenuation.count), show_percent(summary.attenuation.median),
                    summary.lag_days.count > 0 ? days_words(summary.lag_days.median) : "",
                    days_words(summary.final_days.median)});
  }
  return text_table(rows);
}

template <class Words>
std::string usual(const char* what, const Spread& spread, Words&& words) {
  if (spread.count == 0) return "";
  if (spread.count == 1) return fmt::format("{}: {}", what, words(spread.median));
  return fmt::format("{}: {} in the middle, from {} to {}", what, words(spread.median), words(spread.low),
                     words(spread.high));
}

}  // namespace

std::vector<std::string> yeast_list_lines(std::span<const YeastHistory> yeasts,
                                          const DisplaySettings& display) {
  if (yeasts.empty()) return {"No batch has named its yeast yet."};
  std::vector<std::vector<std::string>> rows{
      {"Yeast", "Batches", "Attenuation", "Lag", "At its end", "Kept at", "Expect"}};
  for (const YeastHistory& yeast : yeasts) {
    const YeastSummary summary = summary_of(yeast.runs());
    const auto middle = [](const Spread& spread, auto words) {
      return spread.count > 0 ? words(spread.median) : std::string();
    };
    rows.push_back({fitted(yeast.name, 32), std::to_string(yeast.batches.size()),
                    middle(summary.attenuation, show_percent), middle(summary.lag_days, days_words),
                    middle(summary.final_days, days_words),
                    middle(summary.celsius, [&](double t) { return show_temperature(t, display); }),
                    yeast.batches.empty() ? "" : band_words(expected_band(yeast))});
  }
  return text_table(rows);
}

std::vector<std::string> yeast_lines(const YeastHistory& yeast, const DisplaySettings& display) {
  std::vector<std::string> lines;
  if (yeast.batches.empty()) {
    lines.push_back(fmt::format("{}: {}.", fitted(yeast.name, 60), others_words(yeast.others)));
    return lines;
  }
  lines.push_back(fmt::format("{}: {} that came to a stable final gravity{}.", fitted(yeast.name, 60),
                              batches_words(yeast.batches.size()),
                              yeast.others == 0 ? "" : "; " + others_words(yeast.others)));
  std::vector<std::vector<std::string>> rows{
      {"No.", "Batch", "Pitched", "From", "To", "Attenuation", "Lag", "At its end", "Kept at"}};
  for (const YeastHistory::Batch& batch : yeast.batches) {
    rows.push_back({std::to_string(batch.id), fitted(batch.name, 32), show_date(batch.pitched, display),
                    show_gravity(batch.run.original_gravity, display),
                    show_gravity(batch.run.final_gravity, display), show_percent(batch.run.attenuation),
                    batch.run.lag_days ? days_words(*batch.run.lag_days) : "",
                    days_words(batch.run.final_days),
                    batch.run.celsius ? show_temperature(*batch.run.celsius, display) : ""});
  }
  for (std::string& row : text_table(rows)) lines.push_back(std::move(row));
  const std::vector<YeastAtTemperature> bands = by_temperature(yeast.runs());
  if (bands.size() > 1) {
    lines.push_back("By the temperature they were kept at, the middle of each:");
    for (std::string& row : band_rows(bands, display)) lines.push_back(std::move(row));
  }
  const YeastSummary summary = summary_of(yeast.runs());
  for (const std::string& line :
       {usual("Attenuation", summary.attenuation, [](double x) { return show_percent(x); }),
        usual("Lag, from the pitch to the start", summary.lag_days, days_words),
        usual("At its end after", summary.final_days, days_words),
        usual("Kept at", summary.celsius, [&](double t) { return show_temperature(t, display); })}) {
    if (!line.empty()) lines.push_back(line + ".");
  }
  lines.push_back(fmt::format(
      "Expect of the next batch: {} attenuated, with 80 % certainty{}.", band_words(expected_band(yeast)),
      yeast.batches.size() < 4 ? "; with so few batches it leans to what most yeasts do" : ""));
  return lines;
}

std::string half_sentence(const Yeast& yeast, const DisplaySettings& display) {
  if (!(yeast.half_low_h > 0)) return "";
  return fmt::format(
      "Half of its fall is expected between {} and {} after the pitch, were it at {}; that is from "
      "earlier batches with this yeast.",
      show_length(from_hours(yeast.half_low_h)), show_length(from_hours(yeast.half_high_h)),
      show_temperature(20, display));
}

std::string band_sentence(const Yeast& yeast) {
  const std::string band = band_words({yeast.attenuation_low, yeast.attenuation_high});
  if (yeast.attenuation_batches > 0) {
    return fmt::format("An attenuation of {} is expected, from {} with this yeast.", band,
                       batches_words(static_cast<std::size_t>(yeast.attenuation_batches)));
  }
  if (yeast.attenuation_given) return "";
  return fmt::format(
      "An attenuation of {} is expected, as of most yeasts: none was given{}.", band,
      yeast.name.empty() ? ", nor a yeast" : ", and no batch with this yeast had come to its end before");
}

}  // namespace gyle
