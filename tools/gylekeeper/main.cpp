#include "command_line.h"
#include "verbs.h"

int main(int argc, char** argv) {
  using namespace gyle;
  const std::vector<Verb> verbs = all_verbs();
  const auto parsed = parse_command_line(verbs, argc, argv);
  if (const Exit* told = std::get_if<Exit>(&parsed)) return static_cast<int>(*told);
  const Invocation& invocation = std::get<Invocation>(parsed);
  return static_cast<int>(invocation.verb->run(invocation.common));
}
