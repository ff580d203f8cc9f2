#include "config/read_file.h"

#include <fmt/format.h>

#include <cerrno>
#include <cstdlib>
#include <cstring>
#include <fstream>

namespace gyle {

Result<std::string> read_file(const std::filesystem::path& path, std::size_t longest) {
  errno = 0;
  std::ifstream in(path, std::ios::binary);
  std::string text;
  if (in) {
    text.resize(longest + 1);
    in.read(text.data(), static_cast<std::streamsize>(text.size()));
    text.resize(static_cast<std::size_t>(in.gcount()));
  }
  if (!in.is_open() || in.bad() || (text.empty() && errno != 0)) {  // a folder opens, and fails when read
    const int cause = errno;
    return fail(cause == ENOENT ? Errc::not_found : Errc::refused,
                fmt::format("{}: cannot be read: {}", path.string(), std::strerror(cause)));
  }
  if (text.size() > longest) {
    return fail(Errc::out_of_range, fmt::format("{}: longer than {} bytes", path.string(), longest));
  }
  return text;
}

Result<std::string> read_secret(const std::filesystem::path& file) {
  std::filesystem::path path = file;
  if (path.is_relative()) {
    if (const char* const credentials = std::getenv("CREDENTIALS_DIRECTORY")) path = credentials / path;
  }
  BOOST_OUTCOME_TRY(secret, read_file(path));
  while (!secret.empty() && (secret.back() == '\n' || secret.back() == '\r')) secret.pop_back();
  if (secret.empty()) {
    return fail(Errc::missing,
                fmt::format("{}: the file is empty; it holds the secret alone", path.string()));
  }
  return secret;
}

}  // namespace gyle
