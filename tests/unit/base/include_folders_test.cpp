// Linked to the room base alone: other rooms cannot be included.
#include <catch2/catch.hpp>

namespace {

#if __has_include("base/text.h")
constexpr bool kSeesBase = true;
#else
constexpr bool kSeesBase = false;
#endif

#if __has_include("units/gravity.h") || __has_include("storage/outbox.h") || __has_include("app/service.h")
constexpr bool kSeesOthers = true;
#else
constexpr bool kSeesOthers = false;
#endif

}  // namespace

TEST_CASE("a program sees the headers of the rooms it links and no others") {
  CHECK(kSeesBase);
  CHECK_FALSE(kSeesOthers);
}
