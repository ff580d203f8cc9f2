#include "wording/refusal_lines.h"

#include <catch2/catch.hpp>

#include "base/rfc3339.h"

using namespace gyle;

namespace {

Refusal refusal(const char* time, RefusalReason reason, const char* sensor, const char* detail) {
  return {parse_rfc3339(time).value(), reason, "brew/left", sensor, detail, "{\"g\": 1050}\x1b"};
}

}  // namespace

TEST_CASE("refusals are counted by reason and shown with their reason, equal ones once") {
  const std::vector<Refusal> newest{
      refusal("2026-03-03T12:00:00Z", RefusalReason::out_of_range, "hydrometer",
              "gravity: 1050 is not possible"),
      refusal("2026-03-03T11:45:00Z", RefusalReason::unmapped, "", "no source has this topic"),
      refusal("2026-03-03T11:30:00Z", RefusalReason::unmapped, "", "no source has this topic"),
      refusal("2026-03-03T11:15:00Z", RefusalReason::unmapped, "", "no source has this topic")};
  CHECK(refusal_lines({{RefusalReason::out_of_range, 1}, {RefusalReason::unmapped, 40}}, newest, {}) ==
        std::vector<std::string>{"Refused so far: a value that cannot be (1), a topic of no source (40).",
                                 "Tue 3 Mar 12:00  brew/left (hydrometer)", "  gravity: 1050 is not possible",
                                 "  it began: {\"g\": 1050}?", "Tue 3 Mar 11:45  brew/left",
                                 "  no source has this topic", "  it began: {\"g\": 1050}?",
                                 "  and 2 more like it since Tue 3 Mar 11:15"});
}

TEST_CASE("an empty list says that nothing was refused") {
  CHECK(refusal_lines({}, {}, {}) == std::vector<std::string>{"Nothing has been refused."});
}
