#include "config/secret_file.h"

#include <fmt/format.h>

#include <cstdlib>

#include "config/read_file.h"

namespace gyle {

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
