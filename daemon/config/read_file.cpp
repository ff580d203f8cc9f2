#include "config/read_file.h"

#include <fmt/format.h>

#include <cerrno>
#include <cstring>
#include <fstream>

namespace gyle {

Result<std::string> read_file(const std::filesystem::path& path) {
  constexpr std::size_t kLongest = 1 << 20;
  errno = 0;
  std::ifstream in(path, std::ios::binary);
  std::string text;
  if (in) {
    text.resize(kLongest + 1);
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(in.gcount()));
  }
  if (!in.is_open() || in.bad() || (text.empty() && errno != 0)) {  // a folder opens, and fails when read
    const int cause = errno;
    return fail(cause == ENOENT ? Errc::not_found : Errc::refused,
                fmt::format("{}: cannot be read: {}", path.string(), std::strerror(cause)));
  }
  if (text.size() > kLongest) {
    return fail(Errc::out_of_range, fmt::format("{}: longer than {} bytes", path.string(), kLongest));
  }
  return text;
}

}  // namespace gyle
