#pragma once

#include <span>
#include <string>
#include <string_view>

#include "reports/batch_story.h"
#include "reports/comparison_svg.h"
#include "wording/display.h"

namespace gyle {

constexpr std::size_t kMostReported = 6;

// The report of one batch, or of several compared, as one HTML document that is complete in itself: no script,
// no reference to another file, for a screen and for paper. Text of people and sensors is never markup. Units
// and time zone as in `display`; `stories`: 1 to kMostReported; `now`: when it is written.
//   source  HTML Living Standard; WCAG 2.2 AA for contrast, structure and alternative text
std::string report_html(std::span<const BatchStory> stories, const DisplaySettings& display, Time now,
                        std::string_view version, Alignment align = Alignment::pitch);

}  // namespace gyle
