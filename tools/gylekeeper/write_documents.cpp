// Writes what is made from the verbs for man and shells, at build time:
//   write_documents DIRECTORY VERSION DATE
#include <cstdio>
#include <filesystem>
#include <fstream>

#include "completion.h"
#include "manual.h"
#include "verbs.h"

int main(int argc, char** argv) {
  using namespace gyle;
  if (argc != 4) {
    std::fputs("usage: write_documents DIRECTORY VERSION DATE\n", stderr);
    return 2;
  }
  const std::filesystem::path directory = argv[1];
  const Edition edition{argv[2], argv[3]};
  const std::vector<Verb> verbs = all_verbs();
  bool written = true;
  const auto write = [&](const std::filesystem::path& name, const std::string& text) {
    std::filesystem::create_directories((directory / name).parent_path());
    std::ofstream out(directory / name, std::ios::binary);
    out << text;
    out.close();
    written = written && !out.fail();
  };
  write("man/man1/gylekeeper.1", tool_manual(verbs, edition));
  for (const Verb& verb : verbs) {
    write("man/man1/gylekeeper-" + verb.name + ".1", verb_manual(verb, edition));
  }
  write("bash-completion/completions/gylekeeper", bash_completion(verbs));
  write("zsh/vendor-completions/_gylekeeper", zsh_completion(verbs));
  if (!written) std::fprintf(stderr, "cannot write into %s\n", argv[1]);
  return written ? 0 : 1;
}
