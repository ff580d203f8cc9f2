#pragma once

#include <map>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <span>
#include <string>

#include "control/call.h"
#include "packaging/packaging_plan.h"

namespace gyle {

// What is known of a beer without the query.
struct KnownBeer {
  std::optional<SpecificGravity> original_gravity;
  std::optional<SpecificGravity> final_gravity;
  std::optional<Celsius> warmest;
  std::optional<double> volume_l;
  Finished finished = Finished::on_word;
};

// The beer as known, with the values of a query, which take precedence:
//   original_gravity, final_gravity  1.048 or "12 P"
//   warmest, serving, storage        "20 Cel"
//   volumes                          2.4, or "4.7 g/L"
//   kind                             bottles or keg
//   sugar                            sucrose, glucose-monohydrate, glucose or dry-malt-extract
//   volume, bottle                   "19 L", "500 mL"
//   errors  Errc::malformed, missing or out_of_range, with what would be right
Result<PackagingQuestion> packaging_question(const std::map<std::string, std::string, std::less<>>& query,
                                             const KnownBeer& known);

// What a beer holds and needs at packaging, for machines: units in the names, fractions of 1. What was not
// requested is absent.
nlohmann::ordered_json to_json(const PackagingPlan& plan);

// What a batch holds and needs at packaging; see control/routes.h.
std::span<const Route> packaging_routes();

}  // namespace gyle
