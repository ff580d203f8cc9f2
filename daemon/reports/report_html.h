#pragma once

#include <span>
#include <string>
#include <string_view>

#include "reports/batch_story.h"
#include "reports/comparison_svg.h"
#include "wording/display.h"

namespace gyle {

constexpr std::size_t kMostReported = 6;

// The story of one batch, or of several compared, as one HTML document that needs nothing else: no script, no
// reference to another file, complete on a screen and on paper. What people and sensors have written is text
// in it and nothing more. Units and time zone as `display` wants them; `stories`: 1 to kMostReported; `now`:
// when it is written.
//   source  HTML Living Standard; WCAG 2.2 AA for contrast, structure and alternative text
std::string report_html(std::span<const BatchStory> stories, const DisplaySettings& display, Time now,
                        std::string_view version, Alignment align = Alignment::pitch);

}  // namespace gyle
