#include "series/equivalence.h"

#include <catch2/catch.hpp>

using namespace gyle;

// Student's t with 10 degrees of freedom: 5 % lies above 1.812 (table of critical values, from memory).
TEST_CASE("a change within the margin by 1.812 errors is equivalent at 5 %") {
  CHECK(equivalence_p(0.2, (1 - 0.2) / 1.812, 10, 1) == Approx(0.05).margin(2e-4));
  CHECK(equivalence_p(-0.2, (1 - 0.2) / 1.812, 10, 1) == Approx(0.05).margin(2e-4));
}

TEST_CASE("at the margin it is even, beyond it is not equivalent, without error it is certain") {
  CHECK(equivalence_p(1, 0.1, 10, 1) == Approx(0.5));
  CHECK(equivalence_p(1.5, 0.1, 10, 1) > 0.99);
  CHECK(equivalence_p(0.5, 0, 10, 1) == 0);
  CHECK(equivalence_p(1.5, 0, 10, 1) == 1);
}
