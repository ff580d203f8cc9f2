#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace gyle {

class TomlTable;

constexpr std::size_t kShortestToken = 16;  // bytes of the secret in token_file

struct PageSettings {
  bool enabled = true;
  std::string address = "127.0.0.1";  // numeric
  std::uint16_t port = 8480;
  std::filesystem::path token_file;   // empty: look only
  std::filesystem::path certificate;  // with `key`; both empty: not encrypted
  std::filesystem::path key;
  std::vector<std::string> hosts;  // further host names of the page, in lower case

  bool loopback_only() const;
  // Where a browser finds it: "http://127.0.0.1:8480/".
  std::string url() const;
};

// Reads the section [page].
void read_page(TomlTable& table, PageSettings& page);

}  // namespace gyle
