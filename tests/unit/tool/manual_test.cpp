// The pages as readers of man(7) see them.
#include "manual.h"

#include <catch2/catch.hpp>
#include <fstream>
#include <iterator>
#include <sstream>

#include "support/places.h"
#include "support/process.h"
#include "support/temp_dir.h"
#include "usage.h"
#include "verbs.h"

using namespace gyle;
using Catch::Matchers::Contains;
using test::Process;
using test::TempDir;

namespace {

const Edition kEdition{"0.1.0", "2026-03-01"};

std::string content(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::string said(const std::vector<std::string>& command, const TempDir& dir) {
  std::filesystem::remove(dir / "out");
  Process program(command, dir / "out");
  CHECK(program.wait() == 0);
  return content(dir / "out");
}

// The page as mandoc shows it, in one line, after it has nothing to warn of.
std::string shown(const std::string& page) {
  const TempDir dir;
  std::ofstream(dir / "page") << page;
  CHECK(said({"mandoc", "-T", "lint", "-W", "warning", dir / "page"}, dir) == "");
  const std::string text = said({"mandoc", "-T", "utf8", "-O", "width=1000", dir / "page"}, dir);
  std::string plain;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (i + 1 < text.size() && text[i + 1] == '\b') {  // bold and underlined are struck twice
      ++i;
    } else if (text[i] != '\n' && text[i] != ' ') {
      plain += text[i];
    } else if (!plain.empty() && plain.back() != ' ') {
      plain += ' ';
    }
  }
  return plain;
}

}  // namespace

TEST_CASE("each verb's page has the whole description of the verb") {
  for (const Verb& verb : all_verbs()) {
    CAPTURE(verb.name);
    const std::string page = shown(verb_manual(verb, kEdition));
    CHECK_THAT(page, Contains("gylekeeper-" + verb.name + " - " + verb.about));
    for (const Argument& argument : verb.arguments) {
      CHECK_THAT(page, Contains(usage(argument)));
      CHECK_THAT(page, Contains(" " + capitalised(argument.about)));
    }
    for (const std::string& example : verb.examples) CHECK_THAT(page, Contains(example));
  }
}

TEST_CASE("the tool's page names every verb, the common options and the exit codes") {
  const std::vector<Verb> verbs = all_verbs();
  const std::string page = shown(tool_manual(verbs, kEdition));
  for (const Verb& verb : verbs) {
    CHECK_THAT(page, Contains(" " + verb.name + " " + capitalised(verb.about)));
    CHECK_THAT(page, Contains("gylekeeper-" + verb.name + "(1)"));
  }
  for (const char* text : {"--config FILE", "--socket FILE", "--json", "--help", "--version",
                           "gylekeeperd(8)", "0 It worked.", "3 The daemon does not answer."}) {
    CHECK_THAT(page, Contains(text));
  }
}

TEST_CASE("text that the formatter would interpret is shown as it was written") {
  static std::string text;
  const std::string awkward = ".TH 'quoted' \"twice\" \\fB a\\nb `x` ~/y ^z -5 %s";
  const std::string page =
      shown(verb_manual({.name = "try",
                         .about = "to try",
                         .arguments = {{.name = "--text", .place = &text, .about = awkward}},
                         .notes = "First line.\n.SH second\n\nBefore:\n   a  1\n   b  2\nAfter.\n\n'last",
                         .examples = {awkward}},
                        kEdition));
  std::size_t times = 0;
  for (std::size_t at = 0; (at = page.find(awkward, at)) != std::string::npos; ++at) ++times;
  CHECK(times == 2);
  CHECK_THAT(page, Contains("First line. .SH second Before: a 1 b 2 After. 'last"));
}

TEST_CASE("the daemon's page, written by hand, has the options that the daemon has") {
  std::string source = content(gyle::test::source_dir() + "/tools/gylekeeper/gylekeeperd.8.in");
  source.replace(source.find("@date@"), 6, kEdition.date);
  const std::string page = shown(source);
  std::istringstream program(content(gyle::test::source_dir() + "/daemon/main.cpp"));
  int options = 0;
  for (std::string line; std::getline(program, line);) {
    const std::size_t begin = line.find("(\"--");
    if (line.find("app.") == std::string::npos || begin == std::string::npos) continue;
    const std::string option = line.substr(begin + 2, line.find('"', begin + 2) - begin - 2);
    CAPTURE(option);
    CHECK_THAT(page.substr(page.find(" OPTIONS ")), Contains(" " + option + " "));
    ++options;
  }
  CHECK(options >= 4);
}
