#pragma once

#include <array>
#include <string>

#include "fermentation/batch.h"
#include "fermentation/view.h"
#include "wording/display.h"

namespace gyle {

constexpr std::size_t kStatusColumns = 45;

// The state of a batch in three lines that fit a phone's terminal: which batch and how long; stage, gravity
// with half its 80 % interval, temperature, attenuation; what comes next and when, or what is wrong.
// Each is at most kStatusColumns wide (wide characters of East Asia count twice) and free of control
// characters, whatever the names hold.
std::array<std::string, 3> status_lines(const std::string& vessel, const BatchSpec& batch,
                                        const BatchView& view, const DisplaySettings& display, Time now);

}  // namespace gyle
