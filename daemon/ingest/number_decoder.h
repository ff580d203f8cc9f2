#pragma once

#include <optional>
#include <string_view>

#include "ingest/intake.h"
#include "ingest/json_value.h"

namespace gyle {

// A whole text as a finite decimal number, white space around it and a plus sign allowed.
std::optional<double> written_number(std::string_view text);

// A number as JSON sends it: bare, or in quotation marks.
std::optional<double> number_in(const JsonValue& value);

// A message that is a number and nothing else, perhaps in quotation marks.
std::optional<double> payload_number(std::string_view payload);

// A bare decimal number, perhaps in quotation marks. The source has exactly one field.
void decode_number(const Source& source, Intake& intake);

}  // namespace gyle
