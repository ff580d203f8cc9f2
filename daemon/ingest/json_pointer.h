#pragma once

#include <string_view>

#include "base/result.h"
#include "ingest/json_value.h"

namespace gyle {

// Whether `pointer` has the form of a JSON Pointer (RFC 6901): "" or "/" and a token, again and again, with
// "~" only as ~0 or ~1. Errc::malformed says what is wrong.
Status check_json_pointer(std::string_view pointer);

// What `pointer` leads to in `document`; null when it leads nowhere or is malformed. Array indexes have no
// leading zeros; "-" names the element after the last and so never exists.
const JsonValue* find(const JsonValue& document, std::string_view pointer);

}  // namespace gyle
