#pragma once

#include <variant>

#include "verbs.h"

namespace gyle {

struct CommandLine {
  CommonOptions common;
  std::variant<PitchOptions, PackageOptions, StatusOptions, CurveOptions, ExportOptions, ReportOptions,
               AlertsOptions, AcknowledgeOptions, SnoozeOptions, ChannelsOptions, AlertTestOptions,
               ExplainOptions, ForecastOptions, SampleOptions, NoteOptions, NotesOptions, SensorsOptions,
               RefusalsOptions, ReplayOptions, RehearseOptions, ListenOptions>
      verb;
};

// Reads the arguments. When there is nothing left to do it has said so already (help, version, or what was
// wrong) and the exit code comes back instead.
std::variant<CommandLine, Exit> parse_command_line(int argc, const char* const* argv);

}  // namespace gyle
