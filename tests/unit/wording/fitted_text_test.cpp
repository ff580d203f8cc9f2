#include "wording/fitted_text.h"

#include <catch2/catch.hpp>

#include "wording/first_sentence.h"

using namespace gyle;

TEST_CASE("text is cut at whole characters, and the cut is shown") {
  CHECK(fitted("Amber no. 12", 13) == "Amber no. 12");
  CHECK(fitted("Amber no. 12", 11) == "Amber no.…");
  CHECK(fitted("Amber no. 12", 7) == "Amber…");
  CHECK(fitted("Märzen für Öde", 10) == "Märzen fü…");
  CHECK(fitted("\u9ea6\u9152\u9152", 5) == "\u9ea6\u9152…");
  CHECK(columns(fitted("\u9ea6\u9152\u9152", 4)) <= 4);
  CHECK(fitted("anything", 0).empty());
  CHECK(fitted("a\nb\xff", 9) == "a?b?");
}

TEST_CASE("a sentence ends at a full stop before a space and a capital") {
  CHECK(first_sentence("Gravity is 1.012 now. Nothing to do.") == "Gravity is 1.012 now.");
  CHECK(first_sentence("Only one.") == "Only one.");
  CHECK(first_sentence("") == "");
  const std::string name = name_in_sentence("St. Brigid No. 5", 40);
  CHECK(first_sentence(name + " is well. Nothing to do.") == name + " is well.");
  CHECK(columns(name) == 16);
}

TEST_CASE("text is broken between words") {
  CHECK(in_lines("", 10).empty());
  CHECK(in_lines("heat to 67 °C", 13) == std::vector<std::string>{"heat to 67 °C"});
  CHECK(in_lines("heat to 67 °C", 12) == std::vector<std::string>{"heat to", "67 °C"});
  CHECK(in_lines("60 to 72 10", 5) == std::vector<std::string>{"60 to", "72 10"});
  CHECK(in_lines("a unbreakable  word", 4) == std::vector<std::string>{"a", "unbreakable", "word"});
}
