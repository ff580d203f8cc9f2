#pragma once

#include <optional>
#include <string_view>

namespace gyle {

// A sugar that makes the gas in the bottle.
enum class Sugar { sucrose, glucose_monohydrate, glucose, dry_malt_extract };

// "sucrose", "glucose-monohydrate", "glucose", "dry-malt-extract".
const char* name(Sugar sugar);
std::optional<Sugar> sugar_named(std::string_view text);

// Dry malt extract is a mixture. Assumed: 95 % of its mass is extract and 65 % of that ferments (80
// % by apparent attenuation), common practice, no source. That makes 1.80 times the weight of sucrose; common
// tables, from memory, give about 1.5 times, the safer dose: with a malt as fermentable as that, ours would
// make a fifth more gas than is wanted. Both are shown.
constexpr double kExtractOfDryMalt = 0.95;
constexpr double kFermentableOfDryMalt = 0.65;
constexpr double kTableWeightOfDryMalt = 1.5;  // of sucrose

// Grams of carbon dioxide that one gram makes. Sugars ferment whole, into alcohol and gas: glucose gives two
// molecules of gas, sucrose four. Extract gives 0.9565 / 2.0665 of what ferments.
//   source  molar masses of IUPAC; Balling for extract, from memory
double co2_grams_per_gram(Sugar sugar);

// Grams of sugar per litre of beer for so many more volumes (units/carbonation.h).
double priming_grams_per_litre(Sugar sugar, double volumes);

}  // namespace gyle
