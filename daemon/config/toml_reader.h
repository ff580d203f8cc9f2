#pragma once

#include <fmt/format.h>

#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "config/toml_value.h"

namespace gyle {

// The errors in a file, gathered while it is read. A missing key counts only when nothing else in the same
// table is wrong: it may just be misspelt. Also notes every key that was asked for.
class TomlProblems {
 public:
  explicit TomlProblems(std::string file_name) : file_name_(std::move(file_name)) {}

  void add(int line, std::string_view key, std::string_view what);
  // `key` is missing in `table`, or the table as a whole lacks something; both as paths.
  void add_absence(int line, std::string_view table, std::string_view key, std::string_view what);
  void asked_for(std::string key) { keys_.insert(std::move(key)); }

  // Success, or Errc::malformed: a line for each problem, "FILE:LINE: KEY: what is wrong, what is
  // expected", in the order of the file, then what is missing; the first twenty.
  Status status() const;
  const std::set<std::string>& keys() const { return keys_; }

 private:
  struct Problem {
    int line;
    std::string key;  // as a path; of an absence the table
    std::string text;
  };
  bool may_be_misspelt(std::string_view table) const;

  std::string file_name_;
  std::vector<Problem> problems_;
  std::vector<Problem> absences_;
  std::set<std::string> keys_;
};

// Reads one table. Each read leaves its target alone when the key is absent, and adds a problem when the
// value does not fit. finish() adds one for the first key that nobody asked for.
class TomlTable {
 public:
  // `path` names the table in messages ("source[2].gravity"); a value that is no table is a problem.
  TomlTable(const TomlValue& value, std::string path, TomlProblems& problems);
  TomlTable(const TomlTable&) = delete;
  TomlTable& operator=(const TomlTable&) = delete;

  // The raw value; null when absent.
  const TomlValue* find(std::string_view key);
  bool has(std::string_view key) { return find(key) != nullptr; }

  // true when the key was there and valid.
  bool read(std::string_view key, std::string& into, std::string_view example = "");
  bool read(std::string_view key, bool& into);
  bool read(std::string_view key, int& into, int lowest, int highest);
  bool read(std::string_view key, double& into, double lowest, double highest);
  bool read(std::string_view key, std::vector<std::string>& into);

  // A text that `parse` turns into a value: Result<T> parse(std::string_view). The example is for those who
  // write a bare number.
  template <class T, class Parse>
  bool read_as(std::string_view key, T& into, Parse parse, std::string_view example = "") {
    std::string text;
    if (!read(key, text, example)) return false;
    auto parsed = parse(std::string_view(text));
    if (!parsed) {
      problem(key, parsed.error().message);
      return false;
    }
    into = std::move(parsed).value();
    return true;
  }

  // Elements of an array of tables; empty when absent.
  std::vector<const TomlValue*> tables(std::string_view key);

  // About one key, or about the whole table when `key` is empty.
  void problem(std::string_view key, std::string_view what);
  // Something that the table as a whole lacks.
  void absence(std::string_view what) { problems_.add_absence(value_.line, path_, path_, what); }
  void must_have(std::string_view key, std::string_view example);
  std::string path_of(std::string_view key) const;
  void finish();

 private:
  const TomlValue& value_;
  const TomlValue::Table& table_;  // empty when the value is none
  std::string path_;
  TomlProblems& problems_;
  std::vector<std::string> asked_;
};

// A number of either kind; absent when the value is none or is not finite.
std::optional<double> number_in(const TomlValue& value);

// The candidate nearest to `word` by edit distance; empty when none is near.
std::string nearest(std::string_view word, const std::vector<std::string>& candidates);

}  // namespace gyle
