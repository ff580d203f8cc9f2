#pragma once

#include <cstddef>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <span>

#include "control/cellar.h"
#include "wording/display.h"

namespace gyle {

// What part of a batch's course is wanted, and how finely.
struct SeriesQuery {
  std::optional<Time> from;
  std::optional<Time> to;
  std::size_t points = 600;
};

// The course of a batch for a chart, thinned so that it looks the same (series/thinning.h). Times in seconds
// since the epoch, gravities in SG, temperatures in degC. The lists reach one point beyond `from` and `to`,
// so that a line leaves the chart at its edge; `stage`, `holds` and `forecast` are of the whole batch, of
// the marks those in between.
nlohmann::ordered_json series_json(const BatchRecord& batch, const BatchTrace& trace,
                                   std::span<const ToldAlert> alerts, std::span<const Note> notes,
                                   const SeriesQuery& query, const DisplaySettings& display);

}  // namespace gyle
