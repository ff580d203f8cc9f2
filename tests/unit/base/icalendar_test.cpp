#include "base/icalendar.h"

#include <catch2/catch.hpp>

using namespace gyle;

// RFC 5545 section 3.1: a line is 75 octets at most without its break, and is unfolded by taking away each
// break followed by one space.
TEST_CASE("a line is folded where a character ends, and unfolds to itself") {
  const std::string character = GENERATE("a", "ä", "€", "🍺");
  for (std::size_t ahead = 0; ahead < 5; ++ahead) {
    std::string line(ahead, 'x');
    while (line.size() < 400) line += character;
    std::string folded;
    add_calendar_line(folded, line);
    std::string unfolded;
    std::size_t length = 0;
    for (std::size_t i = 0; i < folded.size(); ++i) {
      if (folded.substr(i, 2) == "\r\n") {
        CHECK(length <= 75);
        length = 0;
        ++i;
        if (i + 1 < folded.size()) {
          REQUIRE(folded[i + 1] == ' ');
          const auto next = static_cast<unsigned char>(folded[i + 2]);
          CHECK((next & 0xC0) != 0x80);
          ++i;
          ++length;
        }
        continue;
      }
      unfolded += folded[i];
      ++length;
    }
    CHECK(unfolded == line);
  }
}

// Section 3.3.11: backslash, semicolon, comma and the end of a line are escaped.
TEST_CASE("text is escaped") {
  CHECK(calendar_escaped("a;b,c\\d\ne") == "a\\;b\\,c\\\\d\\ne");
  CHECK(calendar_escaped("bell\a") == "bell?");
}

// Section 3.3.5, form 2.
TEST_CASE("a moment is in UTC, to the second") {
  CHECK(calendar_time(Time(Duration(1772692200999))) == "20260305T063000Z");
}
