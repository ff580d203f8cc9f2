#pragma once

#include <span>
#include <string_view>

namespace gyle {

// A file of the page, as it was when the daemon was built.
struct Asset {
  // As it is requested. "/page/HASH/app.js": for ever these bytes. "/" (index.html) and "/service-worker.js", which name
  // the others, may change with the daemon.
  std::string_view path;
  std::string_view content_type;  // "text/javascript; charset=utf-8"
  std::string_view gzip;          // its bytes, compressed (RFC 1952)
  std::string_view etag;          // strong, with its quotes (RFC 9110 section 8.8.3)
};

// The views last as long as the program.
std::span<const Asset> page_assets();

}  // namespace gyle
