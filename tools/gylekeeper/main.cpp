#include <algorithm>
#include <string_view>

#include "command_line.h"
#include "verbs.h"

int main(int argc, char** argv) {
  using namespace gyle;
  // A command line that cannot be read complains in JSON too.
  if (std::any_of(argv, argv + argc, [](const char* word) { return std::string_view(word) == "--json"; })) {
    complain_in_json();
  }
  const std::vector<Verb> verbs = all_verbs();
  const auto parsed = parse_command_line(verbs, argc, argv);
  if (const Exit* ended = std::get_if<Exit>(&parsed)) return static_cast<int>(*ended);
  const Invocation& invocation = std::get<Invocation>(parsed);
  return static_cast<int>(invocation.verb->run(invocation.common));
}
