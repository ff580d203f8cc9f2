#pragma once

#include <fstream>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <string>
#include <vector>

#include "support/places.h"

namespace gyle::test {

// Files below tests/reference/; their sources are in its README.
inline std::string reference_path(const std::string& file) { return reference_dir() + "/" + file; }

inline nlohmann::json reference_json(const std::string& file) {
  std::ifstream in(reference_path(file));
  if (!in) throw std::runtime_error("no reference file " + file);
  return nlohmann::json::parse(in);
}

// Rows of a CSV, header included; a quoted field may contain commas, but no quotes.
inline std::vector<std::vector<std::string>> reference_csv(const std::string& file) {
  std::ifstream in(reference_path(file));
  if (!in) throw std::runtime_error("no reference file " + file);
  std::vector<std::vector<std::string>> rows;
  for (std::string line; std::getline(in, line);) {
    if (!line.empty() && line.back() == '\r') line.pop_back();
    std::vector<std::string> fields(1);
    bool quoted = false;
    for (const char c : line) {
      if (c == '"') {
        quoted = !quoted;
      } else if (c == ',' && !quoted) {
        fields.emplace_back();
      } else {
        fields.back() += c;
      }
    }
    rows.push_back(std::move(fields));
  }
  return rows;
}

}  // namespace gyle::test
