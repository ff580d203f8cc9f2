#include "packaging/priming.h"

#include "units/carbonation.h"

namespace gyle {
namespace {

constexpr Sugar kSugars[] = {Sugar::sucrose, Sugar::glucose_monohydrate, Sugar::glucose,
                             Sugar::dry_malt_extract};

}  // namespace

const char* name(Sugar sugar) {
  switch (sugar) {
    case Sugar::sucrose:
      return "sucrose";
    case Sugar::glucose_monohydrate:
      return "glucose-monohydrate";
    case Sugar::glucose:
      return "glucose";
    case Sugar::dry_malt_extract:
      return "dry-malt-extract";
  }
  return "";
}

std::optional<Sugar> sugar_named(std::string_view text) {
  for (const Sugar sugar : kSugars) {
    if (name(sugar) == text) return sugar;
  }
  return std::nullopt;
}

double co2_grams_per_gram(Sugar sugar) {
  constexpr double kCo2 = 44.0095, kGlucose = 180.156, kSucrose = 342.297, kWater = 18.015;  // g/mol
  switch (sugar) {
    case Sugar::sucrose:
      return 4 * kCo2 / kSucrose;
    case Sugar::glucose_monohydrate:
      return 2 * kCo2 / (kGlucose + kWater);
    case Sugar::glucose:
      return 2 * kCo2 / kGlucose;
    case Sugar::dry_malt_extract:
      return 0.9565 / 2.0665 * kExtractOfDryMalt * kFermentableOfDryMalt;
  }
  return 1;
}

double priming_grams_per_litre(Sugar sugar, double volumes) {
  return volumes * kCo2GramsPerVolume / co2_grams_per_gram(sugar);
}

}  // namespace gyle
