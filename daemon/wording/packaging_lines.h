#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fermentation/batch.h"
#include "fermentation/view.h"
#include "packaging/packaging_plan.h"
#include "wording/display.h"

namespace gyle {

// What a finished beer holds and needs, a line each, with what was assumed; the cautions come last.
std::vector<std::string> packaging_lines(const PackagingPlan& plan, const DisplaySettings& display);

// The values known from the batch: its gravities and whether they are stable, the warmest it has been.
//   kept_since  from when on its warmth counted (packaging/warmest_beer.h)
std::string packaging_facts(const BatchSpec& spec, const BatchView& view, const PackagingQuestion& question,
                            Time kept_since, const DisplaySettings& display, Time now);

// Whether a batch was found stable, and its view is recent enough to rely on at `now`.
bool ready_to_package(const BatchView& view, Time now);

// Why there is no advice for a batch that is not ready_to_package(), and when it is expected to be.
//   ready  when it will be, if that is known
std::string too_early_sentence(const BatchSpec& spec, const BatchView& view,
                               const std::optional<TimeInterval>& ready, const DisplaySettings& display,
                               Time now);

// What to take care of when a batch leaves its vessel, before that and after; "" when it is
// ready_to_package().
std::string left_early_sentence(const BatchView& view, const DisplaySettings& display, Time now);

// Follows every pitch: carbon dioxide needs a way out.
std::string pitch_caution();

// How to handle what was filled, whatever is in it.
std::string handling_caution(Container container, const DisplaySettings& display);

// What a glass, a bottle or a keg takes: "500 mL", "11 L"; a brewer who reads gallons gets "16.9 fl oz".
std::string show_container(double litres, const DisplaySettings& display);

// "0.85 bar (12.3 psi)"; a brewer who reads gallons gets "12.3 psi (0.85 bar)".
std::string show_pressure(double gauge_bar, const DisplaySettings& display);

}  // namespace gyle
