#pragma once

#include <string>

namespace gyle {

class TomlTable;

struct HomieSettings {
  bool enabled = false;
  std::string domain = "homie";       // the first level of its topics
  std::string device = "gylekeeper";  // a to z, 0 to 9 and hyphens within
};

// Reads the section [homie].
void read_homie(TomlTable& table, HomieSettings& homie);

}  // namespace gyle
