#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.h"
#include "ingest/source.h"

namespace gyle {

// The unit a brewer or a sensor means by a code: UCUM and SenML codes ("Cel", "kg/m3", "mV"), the letters "C"
// and "F", and the words "SG" and "P" that have no code. Exact, letter case included, as both code systems
// demand.
std::optional<Unit> unit_coded(std::string_view code);

// The code under which configuration and messages to the brewer know the unit.
const char* code(Unit unit);

// Whether a quantity can be measured in the unit.
bool fits(Unit unit, Quantity quantity);

// The codes that fit a quantity, to be shown: "\"C\", \"F\" or \"K\"".
std::string codes_that_fit(Quantity quantity);

// The number in the canonical unit of the quantity. `unit` must fit it; NaN and infinity stay what they are.
// Errc::out_of_range only for gravities that are none, with a hint when another unit seems meant.
Result<double> to_canonical(double value, Unit unit);

}  // namespace gyle
