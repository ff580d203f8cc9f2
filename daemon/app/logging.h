#pragma once

namespace gyle {

// Sets up the process's log on standard error: with priority prefixes and no times when journald reads it,
// with times when a person does.
void start_logging();

}  // namespace gyle
