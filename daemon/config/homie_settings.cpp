#include "config/homie_settings.h"

#include "config/toml_reader.h"

namespace gyle {
namespace {

// An ID of the Homie convention.
bool is_id(std::string_view text) {
  return !text.empty() && text.size() <= 64 && text.front() != '-' && text.back() != '-' &&
         text.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-") == std::string_view::npos;
}

}  // namespace

void read_homie(TomlTable& table, HomieSettings& homie) {
  table.read("enabled", homie.enabled);
  if (table.read("domain", homie.domain) && !is_id(homie.domain)) {
    table.problem("domain", "write lower-case letters, digits and hyphens within, as \"homie\"");
  }
  if (table.read("device", homie.device) && !is_id(homie.device)) {
    table.problem("device", "write lower-case letters, digits and hyphens within, as \"gylekeeper\"");
  }
  table.finish();
}

}  // namespace gyle
