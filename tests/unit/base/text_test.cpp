#include "base/text.h"

#include <fmt/format.h>
#include <array>
#include <catch2/catch.hpp>
#include <cstdio>
#include <memory>
#include <nlohmann/json.hpp>
#include <random>

#include "support/python.h"

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
                                         {"right to left", "gnol\xE2\x80\xAE", "gnol???"},
                                         {"zero width", "a\xE2\x80\x8B", "a???"},
                                         {"soft hyphen", "a\xC2\xADz", "a??z"},
                                         {"line separator", "\xE2\x80\xA8", "???"},
                                         {"tag", "\xF3\xA0\x81\x81", "????"},
                                         {"unassigned among bidi controls", "\xE2\x81\xA5", "???"},
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
namespace {

// UTF-8 of any number up to 0x10FFFF (RFC 3629, section 3).
std::string utf8(unsigned code) {
  if (code < 0x80) return {static_cast<char>(code)};
  std::string text;
  for (; code >= (text.empty() ? 0x40U : 0x40U >> text.size()); code >>= 6U) {
    text.insert(text.begin(), static_cast<char>(0x80U | (code & 0x3FU)));
  }
  const unsigned mark = (0xFF00U >> (text.size() + 1)) & 0xFFU;
  return static_cast<char>(mark | code) + text;
}

// The general category of each code point, as Python's copy of the Unicode Character Database has it.
std::vector<std::string> categories() {
  const std::string command =
      test::python() +
      " -c 'import unicodedata as u\nprint(\" \".join(u.category(chr(c)) for c in range(0x110000)))'";
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
  REQUIRE(pipe);
  std::vector<std::string> all;
  std::array<char, 3> pair{};
  while (std::fread(pair.data(), 1, pair.size(), pipe.get()) == pair.size()) all.emplace_back(pair.data(), 2);
  return all;
}

}  // namespace

// Source of the categories: the Unicode Character Database. What else is hidden is by
// Default_Ignorable_Code_Point in its DerivedCoreProperties.txt, from memory.
TEST_CASE("every control, format and separator character of Unicode is refused, and nothing that is seen") {
  const std::vector<std::string> all = categories();
  REQUIRE(all.size() == 0x110000);
  const auto ignorable = [](unsigned code) {
    return code == 0x34F || code == 0x115F || code == 0x1160 || code == 0x17B4 || code == 0x17B5 ||
           (code >= 0x180B && code <= 0x180F) || code == 0x2065 || code == 0x3164 || code == 0xFFA0 ||
           (code >= 0xFFF0 && code <= 0xFFF8) || (code >= 0xE0000 && code <= 0xE0FFF) ||
           (code >= 0x13439 && code <= 0x1343F);  // Unicode 15 made them format characters
  };
  std::vector<std::string> wrong;
  int refused = 0;
  for (unsigned code = 0; code < 0x110000; ++code) {
    const std::string& category = all[code];
    if (category == "Cs") continue;  // surrogates are no UTF-8
    const bool hidden = category == "Cc" || category == "Cf" || category == "Zl" || category == "Zp";
    if (is_clean_text(utf8(code)) == (hidden || ignorable(code))) {
      wrong.push_back(fmt::format("U+{:04X} {}", code, category));
    }
    refused += hidden ? 1 : 0;
  }
  CHECK(wrong == std::vector<std::string>{});
  CHECK(refused > 200);  // Unicode 14 has 65 in Cc and 163 in Cf
}

TEST_CASE("a name is more than spaces, and not too long") {
  struct Row {
    const char* name;
    std::string text;
    bool ok;
  };
  const auto row = GENERATE(values<Row>({{"a word", "cellar", true},
                                         {"spaces around it", " a ", true},
                                         {"an emoji with its selector", "\xE2\x98\x95\xEF\xB8\x8F", true},
                                         {"Arabic", "\xD8\xA8\xD9\x8A\xD8\xB1\xD8\xA9", true},
                                         {"ten bytes", "0123456789", true},
                                         {"eleven", "0123456789a", false},
                                         {"nothing", "", false},
                                         {"spaces", "   ", false},
                                         {"spaces that do not break", "\xC2\xA0\xE2\x80\xAF", false},
                                         {"a wide space", "\xE3\x80\x80", false},
                                         {"Braille without dots", "\xE2\xA0\x80", false},
                                         {"zero width alone", "\xE2\x80\x8B", false},
                                         {"turned around",
                                          "a\xE2\x80\xAE"
                                          "b",
                                          false},
                                         {"a tab", "a\tb", false},
                                         {"no UTF-8", "a\xFF", false}}));
  CAPTURE(row.name);
  CHECK(is_name(row.text, 10) == row.ok);
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

TEST_CASE("white space is cut at both ends, and letters of ASCII alone become small") {
  CHECK(trimmed(" \t a b\r\n") == "a b");
  CHECK(trimmed("a") == "a");
  CHECK(trimmed(" \n ").empty());
  CHECK(trimmed("").empty());
  CHECK(lower_case("Content-TYPE: \xc3\x84[Z]") == "content-type: \xc3\x84[z]");
}
