#include "verb.h"

#include <fmt/format.h>

#include <charconv>

namespace gyle {

const char* const kTimes =
    "Times are in the brewer's time zone, as the configuration says: \"2026-03-05 18:30\", \"2026-03-05\" "
    "(its midnight), \"18:30\", \"sat 18:00\", \"saturday\". A time that comes twice, when clocks go back, "
    "means the earlier one. Or with the offset from UTC: 2026-03-05T18:30:00+01:00.";

Argument batch_argument(Place place, Given given) {
  return {.name = "batch",
          .place = place,
          .about = "the batch: its vessel, its name or its number",
          .required = given == Given::always,
          .offer = Offer::batches};
}

Argument calibrated_at_argument(Place place) {
  return {.name = "--calibrated-at",
          .place = place,
          .about = "what the hydrometer is made for, as \"60 F\" or \"15 C\"; \"20 C\" when not given",
          .value = "TEMPERATURE",
          .needs = {"--temperature"}};
}

Argument wort_correction_argument(Place place) {
  return {.name = "--wort-correction",
          .place = place,
          .about = "of the refractometer; 1.04 when not given",
          .needs = {"--refractometer"}};
}

std::vector<Argument> common_arguments(CommonOptions& common) {
  return {{.name = "--config",
           .place = &common.config,
           .about = "the configuration; /etc/gylekeeper/gylekeeper.toml when not given",
           .offer = Offer::files},
          {.name = "--socket",
           .place = &common.socket,
           .about = "the daemon's control socket; as the configuration says when not given",
           .offer = Offer::files},
          {.name = "--json", .place = &common.json, .about = "answer in JSON, for machines"}};
}

std::function<std::string(const std::string&)> whole_number(std::uint64_t least, std::uint64_t most) {
  return [least, most](const std::string& text) -> std::string {
    std::uint64_t number = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (error == std::errc{} && end == text.data() + text.size() && number >= least && number <= most)
      return "";
    return most == UINT64_MAX ? fmt::format("must be a whole number from {} on", least)
                              : fmt::format("must be a whole number from {} to {}", least, most);
  };
}

}  // namespace gyle
