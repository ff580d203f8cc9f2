#include "control/packaging_request.h"

#include <fmt/format.h>

#include "units/quantity_text.h"

namespace gyle {
namespace {

using Query = std::map<std::string, std::string, std::less<>>;

// Takes a value from the query, if it is there.
template <class Value, class Parsed>
Status take(const Query& query, std::string_view name, Value& place,
            Result<Parsed> (*parse)(std::string_view)) {
  const auto found = query.find(name);
  if (found == query.end()) return success();
  const auto parsed = parse(found->second);
  if (!parsed) return fail(parsed.error().code, fmt::format("{}: {}", name, parsed.error().message));
  place = parsed.value();
  return success();
}

Result<Container> parse_container(std::string_view text) {
  if (const auto container = container_named(text)) return *container;
  return fail(Errc::malformed, fmt::format("'{}' is not bottles or keg", text.substr(0, 40)));
}

Result<Sugar> parse_sugar(std::string_view text) {
  if (const auto sugar = sugar_named(text)) return *sugar;
  return fail(Errc::malformed,
              fmt::format("'{}' is not sucrose, glucose-monohydrate, glucose or dry-malt-extract",
                          text.substr(0, 40)));
}

}  // namespace

Result<PackagingQuestion> packaging_question(const Query& query, const KnownBeer& known) {
  std::optional<SpecificGravity> original = known.original_gravity;
  std::optional<SpecificGravity> final_gravity = known.final_gravity;
  BOOST_OUTCOME_TRY(take(query, "original_gravity", original, parse_gravity));
  BOOST_OUTCOME_TRY(take(query, "final_gravity", final_gravity, parse_gravity));
  if (!original)
    return fail(Errc::missing, "the original gravity is not known; say it, as 1.048 or \"12 P\"");
  if (!final_gravity)
    return fail(Errc::missing, "the final gravity is not known; say it, as 1.012 or \"3.1 P\"");
  PackagingQuestion question{.original_gravity = *original,
                             .final_gravity = *final_gravity,
                             .warmest = known.warmest,
                             .volume_l = known.volume_l,
                             .finished = known.finished};
  BOOST_OUTCOME_TRY(take(query, "warmest", question.warmest, parse_temperature));
  BOOST_OUTCOME_TRY(take(query, "volumes", question.volumes, parse_carbonation_volumes));
  BOOST_OUTCOME_TRY(take(query, "kind", question.container, parse_container));
  BOOST_OUTCOME_TRY(take(query, "sugar", question.sugar, parse_sugar));
  BOOST_OUTCOME_TRY(take(query, "volume", question.volume_l, parse_volume_litres));
  BOOST_OUTCOME_TRY(take(query, "bottle", question.bottle_l, parse_volume_litres));
  BOOST_OUTCOME_TRY(take(query, "serving", question.serving, parse_temperature));
  BOOST_OUTCOME_TRY(take(query, "storage", question.storage, parse_temperature));
  return question;
}

}  // namespace gyle
