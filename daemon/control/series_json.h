#pragma once

#include <cstddef>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <span>

#include "control/cellar.h"
#include "wording/display.h"

namespace gyle {

// The part of a batch's curve that is wanted, and its resolution.
struct SeriesQuery {
  std::optional<Time> from;
  std::optional<Time> to;
  std::size_t points = 600;
};

// The curve of a batch for a chart, thinned so that it looks the same (series/thinning.h). Times in seconds
// since the epoch, gravities in SG, temperatures in degC. The lists reach one point beyond `from` and `to`,
// so that a line leaves the chart at its edge; `stage`, `holds` and `forecast` are of the whole batch, of
// the marks those in between.
nlohmann::ordered_json series_json(const BatchRecord& batch, const BatchTrace& trace,
                                   std::span<const ReportedAlert> alerts, std::span<const Note> notes,
                                   const SeriesQuery& query, const DisplaySettings& display);

// The last days of a batch as of its view, for a picture of a finger's breadth: `time` and `gravity` of four days,
// `temperature` of one; at most 80 points each.
nlohmann::ordered_json recent_json(const BatchView& view, const BatchTrace& trace);

}  // namespace gyle
