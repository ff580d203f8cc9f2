#include "usage.h"

#include <catch2/catch.hpp>

#include "help.h"
#include "nearest_words.h"
#include "verbs.h"

using namespace gyle;

TEST_CASE("how an argument is to be used") {
  static bool flag;
  static std::string text;
  static std::vector<std::string> several;
  static std::optional<std::uint64_t> number;
  struct Row {
    Argument argument;
    const char* usage;
  };
  const std::vector<Row> rows{
      {{.name = "batch", .place = &text, .about = "", .required = true}, "BATCH"},
      {{.name = "batch", .place = &several, .about = ""}, "[BATCH]..."},
      {{.name = "--flag", .place = &flag, .about = ""}, "[--flag]"},
      {{.name = "--text", .place = &text, .about = ""}, "[--text TEXT]"},
      {{.name = "--original-gravity", .place = &text, .about = ""}, "[--original-gravity GRAVITY]"},
      {{.name = "--ready-by", .place = &text, .about = ""}, "[--ready-by TIME]"},
      {{.name = "--at", .place = &text, .about = "", .value = "WHEN", .required = true}, "--at WHEN"},
      {{.name = "--hold", .place = &several, .about = "", .value = "HOLD"}, "[--hold HOLD]..."},
      {{.name = "--count", .place = &number, .about = ""}, "[--count NUMBER]"},
      {{.name = "--out", .place = &text, .about = "", .offer = Offer::files}, "[--out FILE]"},
      {{.name = "--what", .place = &text, .about = "", .choices = {"a", "b"}}, "[--what a|b]"},
      {{.name = "--what",
        .place = &text,
        .about = "",
        .choices = {"first thing", "second thing", "third thing"}},
       "[--what WHAT]"},
  };
  for (const Row& row : rows) CHECK(usage(row.argument) == row.usage);
}

TEST_CASE("the description of an argument names its choices once, and what it goes with") {
  static std::string text;
  const auto argument = [](std::string about) {
    return Argument{.name = "--x", .place = &text, .about = about};
  };
  Argument choice = argument("which");
  choice.choices = {"a", "b", "c"};
  CHECK(full_about(choice) == "which: a, b or c");
  choice.about = "a, b or c";
  CHECK(full_about(choice) == "a, b or c");
  Argument bound = argument("x");
  bound.needs = {"--a"};
  bound.excludes = {"--b", "--c"};
  CHECK(full_about(bound) == "x; only with --a; not with --b or --c");
}

TEST_CASE("help has lines of at most 90 characters, examples and long words apart") {
  for (const Verb& verb : all_verbs()) {
    CAPTURE(verb.name);
    const std::string help = verb_help(verb);
    for (const char* common : {"--config FILE", "--socket FILE", "--json"})
      CHECK(help.find(common) != std::string::npos);
    std::size_t begin = 0;
    for (std::size_t end; (end = help.find('\n', begin)) != std::string::npos; begin = end + 1) {
      const std::string line = help.substr(begin, end - begin);
      CAPTURE(line);
      CHECK((line.size() <= 90 || line.rfind("  gylekeeper", 0) == 0 || line.rfind("gylekeeper ", 0) == 0));
    }
  }
}

TEST_CASE("the verbs that may have been meant") {
  using Words = std::vector<std::string>;
  const Words words{"status", "sample", "snooze", "note", "notes", "--json", "alert-test", "alerts"};
  CHECK(nearest_words("statsu", words) == Words{"status"});
  CHECK(nearest_words("stauts", words) == Words{"status"});
  CHECK(nearest_words("notee", words) == Words{"note", "notes"});
  CHECK(nearest_words("--jso", words) == Words{"--json"});
  CHECK(nearest_words("aler", words) == Words{"alert-test", "alerts"});
  CHECK(nearest_words("brew", words).empty());
  CHECK(nearest_words("", words).empty());
}
