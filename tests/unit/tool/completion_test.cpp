// What bash and zsh themselves make of the scripts.
#include "completion.h"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "support/places.h"
#include "support/process.h"
#include "support/python.h"
#include "support/temp_dir.h"
#include "verbs.h"

using namespace gyle;
using test::Process;
using test::TempDir;

namespace {

std::string content(const std::filesystem::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

// Verbs with everything in them that a shell or _arguments of zsh could take for its own.
std::vector<Verb> awkward_verbs() {
  static bool flag;
  static std::string text;
  static std::vector<std::string> several;
  const auto word = [](const std::string& name) {
    return Argument{.name = name, .place = &text, .about = "for " + name};
  };
  Argument batch = word("batch"), file = word("--file"), choice = word("--choice"), barred = word("--barred"),
           percent = word("--percent"), rest = word("batch"), what = word("what");
  batch.offer = rest.offer = Offer::batches;
  rest.place = &several;
  file.offer = Offer::files;
  file.excludes = {"--barred"};
  what.value = "WHAT IT IS";
  choice.choices = {"plain", "two words", "it's", "a:b"};
  percent.about = "isn't [it] 75 %: \"$HOME\" `x` \\ done; a|b";
  percent.value = "LOW:HIGH 5%";
  const auto run = [](const CommonOptions&) { return Exit::ok; };
  return {{.name = "try",
           .about = "with a colon: and what isn't \"plain\" at 75 %",
           .arguments = {batch,
                         what,
                         file,
                         choice,
                         barred,
                         percent,
                         {.name = "--flag", .place = &flag, .about = "a flag"},
                         {.name = "--often", .place = &several, .about = "several times"}},
           .run = run},
          {.name = "trust", .about = "many", .arguments = {rest}, .run = run},
          {.name = "other", .about = "none", .run = run}};
}

// What a shell makes of each of `lines`, where a cellar has the batches of `answer` and this directory two
// files.
std::vector<std::string> completed(const std::string& shell, const TempDir& dir,
                                   const std::vector<std::string>& lines) {
  const std::filesystem::path script = dir / "_gylekeeper";
  const std::vector<Verb> verbs = awkward_verbs();
  std::ofstream(script) << (shell == "bash" ? bash_completion(verbs) : zsh_completion(verbs));
  std::filesystem::create_directories(dir / "files/there");
  std::ofstream(dir / "files/there/a file.toml");
  std::ofstream(dir / "files/there/b.csv");
  std::ofstream input(dir / "lines");
  for (const std::string& line : lines) input << line << "\n";
  input.close();
  setenv("PATH", (dir.path().string() + ":" + getenv("PATH")).c_str(), 1);
  Process tab({test::python(), gyle::test::source_dir() + "/tests/support/press_tab.py", shell, script,
               dir / "files"},
              dir / "out", dir / "lines");
  CHECK(tab.wait() == 0);
  std::vector<std::string> result;
  std::ifstream out(dir / "out");
  for (std::string line; std::getline(out, line);) result.push_back(line);
  return result;
}

// Stands in for the tool: notes what it is asked, and says that two vessels are in use.
void put_tool(const TempDir& dir, const std::string& program) {
  std::ofstream(dir / "gylekeeper") << "#!/bin/sh\n" << program << "\n";
  std::filesystem::permissions(dir / "gylekeeper", std::filesystem::perms::owner_all);
}

struct Row {
  const char* typed;
  const char* in_bash;
  const char* in_zsh;  // nullptr: the same
};

void check(const std::string& shell, const TempDir& dir, const std::vector<Row>& rows) {
  std::vector<std::string> lines;
  for (const Row& row : rows) lines.push_back(row.typed);
  const std::vector<std::string> result = completed(shell, dir, lines);
  REQUIRE(result.size() == rows.size());
  for (std::size_t i = 0; i < rows.size(); ++i) {
    CAPTURE(shell, rows[i].typed);
    CHECK(result[i] == (shell == "zsh" && rows[i].in_zsh != nullptr ? rows[i].in_zsh : rows[i].in_bash));
  }
}

}  // namespace

TEST_CASE("shells complete verbs, options, choices, files and batches") {
  const std::string shell = GENERATE("bash", "zsh");
  const TempDir dir;
  put_tool(dir, "echo \"$@\" >>" + (dir / "asked").string() +
                    R"(
echo '{"batches":[{"id":1,"vessel":"left","name":"\"id\":3,\"vessel\":\"no\""},)"
                    R"({"id":12,"vessel":"big one:2","name":"B"}],"daemon":{}}')");
  check(shell, dir,
        {
            {"gylekeeper ", "gylekeeper other trust try ", nullptr},
            {"gylekeeper tr", "gylekeeper trust try ", nullptr},
            {"gylekeeper nothing", "gylekeeper nothing", nullptr},
            {"gylekeeper --json ot", "gylekeeper --json other ", nullptr},
            {"gylekeeper --socket x --", "gylekeeper --socket x --config --help --json --version ", nullptr},
            // where nothing else can be, zsh offers options
            {"gylekeeper other ", "gylekeeper other ", "gylekeeper other --config --help --json --socket="},
            {"gylekeeper other --", "gylekeeper other --config --help --json --socket ",
             "gylekeeper other --config --help --json --socket="},
            // what is given is not offered again, unless it may be
            {"gylekeeper --json try --flag --often x --",
             "gylekeeper --json try --flag --often x --barred --choice --config --file --help --often "
             "--percent --socket ",
             "gylekeeper --json try --flag --often x --barred --choice --config --file --help --often "
             "--percent --socket="},
            {"gylekeeper try --often x --of", "gylekeeper try --often x --often ",
             "gylekeeper try --often x --often="},
            {"gylekeeper try --barred x --f", "gylekeeper try --barred x --flag ", nullptr},
            {"gylekeeper try --file=x --bar", "gylekeeper try --file=x --bar", nullptr},
            // choices
            {"gylekeeper try --choice ", R"(gylekeeper try --choice a:b it\'s plain two\ words )", nullptr},
            {"gylekeeper try --choice=p", "gylekeeper try --choice=plain ", nullptr},
            {R"(gylekeeper try --choice two\ )", R"(gylekeeper try --choice two\ words )", nullptr},
            {"gylekeeper try --choice a:", "gylekeeper try --choice a:b ", nullptr},
            // files
            {"gylekeeper try --file there/", R"(gylekeeper try --file there/a\ file.toml there/b.csv )",
             nullptr},
            {"gylekeeper try --file=there/b", "gylekeeper try --file=there/b.csv ", nullptr},
            // batches
            {"gylekeeper try ", R"(gylekeeper try big\ one:2 left )", nullptr},
            {"gylekeeper try --flag l", "gylekeeper try --flag left ", nullptr},
            {R"(gylekeeper try big\ one:)", R"(gylekeeper try big\ one:2 )", nullptr},
            {"gylekeeper try left ", "gylekeeper try left ", nullptr},
            {"gylekeeper try --percent 'a b:c' le", "gylekeeper try --percent 'a b:c' left ", nullptr},
            {"gylekeeper trust left le", "gylekeeper trust left left ", nullptr},
            {"gylekeeper --config ~/c.toml try --socket /s le",
             "gylekeeper --config ~/c.toml try --socket /s left ", nullptr},
        });
  const std::string asked = content(dir / "asked");
  CHECK(asked.find("--config " + (dir / "files").string() + "/c.toml --socket /s status --json\n") !=
        std::string::npos);
}

TEST_CASE("a tool that fails or hangs costs at most a second, and offers nothing") {
  const std::string shell = GENERATE("bash", "zsh");
  const std::string program = GENERATE("echo trouble >&2; exit 3", "exec sleep 20");
  const TempDir dir;
  put_tool(dir, program);
  const auto begin = std::chrono::steady_clock::now();
  check(shell, dir, {{"gylekeeper trust l", "gylekeeper trust l", nullptr}});
  CHECK(std::chrono::steady_clock::now() - begin < std::chrono::seconds(10));
}

TEST_CASE("zsh shows what verbs and options are, as it was written") {
  const TempDir dir;
  put_tool(dir, "exit 3");
  const std::vector<std::string> shown = completed(
      "zsh", dir,
      {"?gylekeeper tr", "?gylekeeper try --p", "?gylekeeper try --percent ", "?gylekeeper try left "});
  REQUIRE(shown.size() == 4);
  CHECK_THAT(shown[0], Catch::Contains("try -- with a colon: and what isn't \"plain\" at 75 %"));
  CHECK_THAT(shown[1], Catch::Contains("--percent -- isn't [it] 75 %: \"$HOME\" `x` \\ done; a|b"));
  CHECK_THAT(shown[2], Catch::Contains("LOW:HIGH 5%"));
  CHECK_THAT(shown[3], Catch::Contains("WHAT IT IS"));
}

TEST_CASE("the scripts for the real verbs are right by the shells' grammar and name every verb and option") {
  const std::string shell = GENERATE("bash", "zsh");
  const std::vector<Verb> verbs = all_verbs();
  const std::string script = shell == "bash" ? bash_completion(verbs) : zsh_completion(verbs);
  const TempDir dir;
  std::ofstream(dir / "script") << script;
  Process grammar({shell, "-n", dir / "script"}, dir / "out");
  CHECK(grammar.wait() == 0);
  CHECK(content(dir / "out") == "");
  for (const Verb& verb : verbs) {
    CAPTURE(shell, verb.name);
    const std::size_t begin = script.find("\n        " + verb.name + ")\n");
    REQUIRE(begin != std::string::npos);
    const std::string own = script.substr(begin, script.find(";;", begin) - begin);
    for (const Argument& argument : verb.arguments) {
      if (argument.name.rfind("--", 0) == 0) CHECK_THAT(own, Catch::Contains(argument.name));
      for (const std::string& choice : argument.choices) CHECK_THAT(own, Catch::Contains(choice));
    }
  }
}
