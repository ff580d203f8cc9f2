#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "base/result.h"
#include "control/http_message.h"

namespace gyle {

// Bytes that are not UTF-8 become U+FFFD.
HttpResponse json_response(const nlohmann::ordered_json& json, int status = 200);

// A failure as problem details (RFC 9457).
HttpResponse problem(int status, const std::string& detail);
HttpResponse problem(const Error& error);
HttpResponse wrong_method(const char* allowed);

}  // namespace gyle
