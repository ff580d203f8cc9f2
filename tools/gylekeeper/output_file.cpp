#include "output_file.h"

#include <fmt/format.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>

namespace gyle {

Status write_file(const std::filesystem::path& path, std::string_view content) {
  std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "wb"), &std::fclose);
  const bool written = file && std::fwrite(content.data(), 1, content.size(), file.get()) == content.size();
  if (written && std::fclose(file.release()) == 0) return success();
  return fail(Errc::storage, fmt::format("cannot write {}: {}", path.native(), std::strerror(errno)));
}

Status write_out(const std::optional<std::filesystem::path>& path, std::string_view content) {
  if (path) return write_file(*path, content);
  if (std::fwrite(content.data(), 1, content.size(), stdout) == content.size()) return success();
  return fail(Errc::storage, fmt::format("cannot write to the terminal: {}", std::strerror(errno)));
}

}  // namespace gyle
