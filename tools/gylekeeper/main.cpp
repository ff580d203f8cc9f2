#include "command_line.h"

int main(int argc, char** argv) {
  using namespace gyle;
  const auto parsed = parse_command_line(argc, argv);
  if (const Exit* told = std::get_if<Exit>(&parsed)) return static_cast<int>(*told);
  const auto& [common, verb] = std::get<CommandLine>(parsed);
  return static_cast<int>(std::visit([&](const auto& options) { return run(options, common); }, verb));
}
