#include "control/note_routes.h"

#include <catch2/catch.hpp>

using namespace gyle;

TEST_CASE("a note is text of 1 to 2000 characters") {
  struct Row {
    const char* name;
    std::string body;
    std::string kept;  // empty: refused
  };
  std::string many;
  for (int i = 0; i < 2000; ++i) many += "\xc3\xa4";  // 4000 bytes
  const auto row = GENERATE_REF(values<Row>({
      {"plain", "Dry hops, 40 g.", "Dry hops, 40 g."},
      {"blanks around", " \r\n\t40 g \n\n", "40 g"},
      {"lines of another system", "one\r\ntwo\tthree", "one\ntwo\tthree"},
      {"2000 characters", many, many},
      {"2001 characters", many + "a", ""},
      {"nothing", "", ""},
      {"blanks only", " \n\t ", ""},
      {"a zero byte", std::string("a\0b", 3), ""},
      {"an escape", "\x1b[31mred", ""},
      {"a bare carriage return", "a\rb", ""},
      {"not UTF-8", "a\xff", ""},
      {"overlong UTF-8", "\xc0\xaf", ""},
      {"markup is text", "<script>alert(1)</script>", "<script>alert(1)</script>"},
  }));
  CAPTURE(row.name);
  const auto text = note_text(row.body);
  REQUIRE(text.has_value() == !row.kept.empty());
  if (text) {
    CHECK(text.value() == row.kept);
  } else {
    CHECK(text.error().code == Errc::malformed);
  }
}
