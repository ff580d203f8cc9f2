#pragma once

#include <string_view>

namespace gyle {

// openapi.json, as it was when the daemon was built: what the API takes and answers.
//   source  OpenAPI Specification 3.1.0
std::string_view openapi_document();

}  // namespace gyle
