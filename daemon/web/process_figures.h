#pragma once

#include <cstdint>
#include <optional>

#include "base/time.h"

namespace gyle {

// What this process uses, as Linux reports it (proc(5)); a figure that it does not report is absent.
struct ProcessFigures {
  std::optional<double> resident_bytes;
  std::optional<double> virtual_bytes;
  std::optional<Duration> cpu;  // user and system
  std::optional<Time> started;
  std::optional<double> open_fds;
  std::optional<double> most_fds;
};
ProcessFigures process_figures();

}  // namespace gyle
