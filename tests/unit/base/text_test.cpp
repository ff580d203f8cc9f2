#include "base/text.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <random>

using namespace gyle;

TEST_CASE("bytes become text that can be shown") {
  struct Row {
    const char* name;
    std::string in;
    std::string out;
  };
  // Well-formed and ill-formed sequences: RFC 3629 sections 3 and 4.
  const auto row = GENERATE(values<Row>({{"plain", "{\"sg\":1.05}", "{\"sg\":1.05}"},
                                         {"two bytes", "18 °C", "18 °C"},
                                         {"four bytes", "\xF0\x9F\x8D\xBA", "\xF0\x9F\x8D\xBA"},
                                         {"controls", std::string("a\n\0b\x7F", 5), "a??b?"},
                                         {"C1 control", "\xC2\x9B", "??"},
                                         {"lone continuation", "\x80", "?"},
                                         {"cut short", "\xE2\x82", "??"},
                                         {"overlong slash", "\xC0\xAF", "??"},
                                         {"overlong in three", "\xE0\x80\xAF", "???"},
                                         {"surrogate", "\xED\xA0\x80", "???"},
                                         {"beyond Unicode", "\xF4\x90\x80\x80", "????"},
                                         {"no such byte", "\xFF", "?"}}));
  CAPTURE(row.name);
  CHECK(displayable(row.in) == row.out);
  CHECK(is_clean_text(row.in) == (row.in == row.out));
}

TEST_CASE("text is cut at a whole character") {
  CHECK(displayable("abc°", 4) == "abc");
  CHECK(displayable("abc°", 5) == "abc°");
  CHECK(displayable(std::string(100, 'x')).size() == 64);
}

// The outside judge of UTF-8 is the JSON library, which refuses to write anything else.
TEST_CASE("whatever the bytes, the result fits into JSON") {
  const auto seed = GENERATE(range(1u, 201u));
  CAPTURE(seed);
  std::mt19937 random(seed);
  std::string bytes(random() % 80, '\0');
  for (char& c : bytes) c = static_cast<char>(random() % 3 == 0 ? random() % 256 : 0xC0 + random() % 64);
  const std::string text = displayable(bytes);
  CHECK(text.size() <= 64);
  CHECK_NOTHROW(nlohmann::json(text).dump());
  bool clean = true;
  try {
    static_cast<void>(nlohmann::json(bytes).dump());
  } catch (const nlohmann::json::exception&) {
    clean = false;
  }
  if (is_clean_text(bytes)) CHECK(clean);
}
TEST_CASE("a name is shown without spaces that say nothing") {
  CHECK(single_spaced("  House \t ale ") == "House ale");
  CHECK(single_spaced(" ").empty());
}

TEST_CASE("a name is known again whatever its spaces and the case of its letters") {
  struct Row {
    const char* a;
    const char* b;
    bool same;
  };
  const auto row = GENERATE(values<Row>({{"House ale", "  house   ALE ", true},
                                         {"K\xc3\x96LN \xc3\x86", "k\xc3\xb6ln \xc3\xa6", true},
                                         {"a \xc3\x97 b", "A \xc3\x97 B", true},
                                         {"House ale", "House ale 2", false},
                                         {"House ale", "Houseale", false},
                                         {"a\xc3\x97", "a\xc3\xb7", false}}));
  CAPTURE(row.a, row.b);
  CHECK((folded(row.a) == folded(row.b)) == row.same);
  CHECK(folded("  \t ").empty());
}
