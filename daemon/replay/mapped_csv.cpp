#include "replay/mapped_csv.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "base/text.h"
#include "ingest/plausibility.h"
#include "replay/written_time.h"
#include "units/gravity.h"
#include "units/temperature.h"

namespace gyle {
namespace {

constexpr std::size_t kMostBytes = 64 * 1024;  // of a row
constexpr std::string_view kByteOrderMark = "\xef\xbb\xbf";

class Mapper {
 public:
  Mapper(const std::string& file, const CsvMapping& mapping, const std::string& sensor,
         const WallClock& wall_clock)
      : file_(file), mapping_(mapping), sensor_(sensor), wall_clock_(wall_clock) {}

  Status take(std::size_t line, const std::vector<std::string>& fields) {
    if (fields.size() == 1 && trimmed(fields.front()).empty()) return success();  // an empty line
    if (!header_read_) return read_header(line, fields);
    ++read_.rows;
    if (const Status used = read_row(line, fields); !used) {
      read_.refused_rows.push_back({line, used.error().message});
    } else {
      ++read_.used;
    }
    return success();
  }

  Result<MappedReadings> finish() {
    if (!header_read_)
      return malformed_csv(file_, 1, "the file is empty; its first line must name the columns");
    const auto& refused = read_.refused_rows;
    if (read_.used == 0) {
      return refused.empty() ? malformed_csv(file_, 1, "there is nothing below the names of the columns")
                             : malformed_csv(file_, refused.front().line,
                                             "no row can be used: " + refused.front().why + gravity_hint());
    }
    if (refused.size() > read_.used) {
      return malformed_csv(
          file_, refused.front().line,
          fmt::format("{} of {} rows cannot be used, so the columns are probably not what they "
                      "are said to be: {}{}",
                      refused.size(), read_.rows, refused.front().why, gravity_hint()));
    }
    if (2 * too_warm_ > temperatures_) {
      return malformed_csv(
          file_, first_too_warm_.line,
          fmt::format("{} of {} temperatures cannot be degrees Celsius, the first being {}; if they are "
                      "Fahrenheit, add --temperature-unit F",
                      too_warm_, temperatures_, first_too_warm_.why));
    }
    std::stable_sort(read_.readings.begin(), read_.readings.end(),
                     [](const Reading& a, const Reading& b) { return a.time < b.time; });
    return std::move(read_);
  }

 private:
  Status read_header(std::size_t line, const std::vector<std::string>& fields) {
    header_read_ = true;
    header_ = fields;
    BOOST_OUTCOME_TRY(time, column(line, mapping_.time_column));
    BOOST_OUTCOME_TRY(gravity, column(line, mapping_.gravity_column));
    BOOST_OUTCOME_TRY(beer, column(line, mapping_.temperature_column));
    BOOST_OUTCOME_TRY(ambient, column(line, mapping_.ambient_column));
    time_ = *time;
    gravity_ = *gravity;
    beer_ = beer;
    ambient_ = ambient;
    return success();
  }

  // Absent for a column that is not asked for.
  Result<std::optional<std::size_t>> column(std::size_t line, const std::string& name) const {
    if (name.empty()) return std::optional<std::size_t>();
    std::optional<std::size_t> found;
    std::string names;
    for (std::size_t i = 0; i < header_.size(); ++i) {
      names += fmt::format("{}\"{}\"", names.empty() ? "" : ", ", trimmed(header_[i]));
      if (folded(header_[i]) != folded(name)) continue;
      if (found) return malformed_csv(file_, line, fmt::format("there are two columns \"{}\"", name));
      found = i;
    }
    if (found) return found;
    std::string hint;
    if (header_.size() == 1) hint = "; is the separator another one?";
    return malformed_csv(file_, line,
                         fmt::format("there is no column \"{}\"; there is {}{}", name, names, hint));
  }

  Result<std::string_view> field(const std::vector<std::string>& fields, std::size_t column) const {
    if (column < fields.size()) return trimmed(fields[column]);
    return fail(Errc::malformed, fmt::format("it has {} fields, and the names of the columns are {}",
                                             fields.size(), header_.size()));
  }

  // Gravities above 1.3 in most of what was refused are rather degrees Plato.
  std::string gravity_hint() const {
    if (mapping_.gravity_in_plato || 2 * rather_plato_ <= read_.refused_rows.size()) return "";
    return "; if they are degrees Plato, add --gravity-unit P";
  }

  // With a point or a comma before the decimals, never both: nothing here is so large that it has thousands.
  static std::optional<double> number(std::string_view text) {
    std::string digits(text);
    if (digits.find('.') == std::string::npos) std::replace(digits.begin(), digits.end(), ',', '.');
    double value = 0;
    const char* const end = digits.data() + digits.size();
    const auto [stop, error] = std::from_chars(digits.data(), end, value);
    if (error != std::errc() || stop != end || !std::isfinite(value)) return std::nullopt;
    return value;
  }

  Status read_row(std::size_t line, const std::vector<std::string>& fields) {
    BOOST_OUTCOME_TRY(time_text, field(fields, time_));
    BOOST_OUTCOME_TRY(written, read_written_time(time_text, mapping_.time_format));
    Time time(written.since_1970);
    if (written.local) {
      BOOST_OUTCOME_TRY(moment, wall_clock_(written.since_1970));
      time = moment;
    }
    BOOST_OUTCOME_TRY(gravity_text, field(fields, gravity_));
    if (gravity_text.empty()) return fail(Errc::malformed, "the gravity is empty");
    const auto shown = number(gravity_text);
    if (!shown) {
      return fail(Errc::malformed,
                  fmt::format("'{}' is no gravity such as 1.048 or 1,048", gravity_text.substr(0, 40)));
    }
    if (mapping_.gravity_in_plato && !(*shown >= -3 && *shown <= 30)) {
      return fail(Errc::out_of_range, fmt::format("{} is no extract in degrees Plato", gravity_text));
    }
    const double gravity = mapping_.gravity_in_plato ? to_specific_gravity(Plato{*shown}).value() : *shown;
    if (!mapping_.gravity_in_plato && *shown > 1.3 && *shown <= 30) ++rather_plato_;
    BOOST_OUTCOME_TRYV(SpecificGravity::from(gravity));
    read_.readings.push_back({time, sensor_, Quantity::gravity, gravity});
    add_temperature(line, fields, beer_, time, Quantity::beer_temperature);
    add_temperature(line, fields, ambient_, time, Quantity::ambient_temperature);
    return success();
  }

  void add_temperature(std::size_t line, const std::vector<std::string>& fields,
                       std::optional<std::size_t> column, Time time, Quantity quantity) {
    if (!column || *column >= fields.size()) return;
    const std::string_view text = trimmed(fields[*column]);
    if (text.empty()) return;
    ++temperatures_;
    const auto shown = number(text);
    if (!shown) {
      read_.refused_temperatures.push_back(
          {line, fmt::format("'{}' is no temperature such as 18.5", text.substr(0, 40))});
      return;
    }
    constexpr double kWarmestCellar = 40;  // degC; above it most are Fahrenheit that was not declared
    if (!mapping_.fahrenheit && *shown > kWarmestCellar && too_warm_++ == 0) {
      first_too_warm_ = {line, std::string(text)};
    }
    const double celsius = mapping_.fahrenheit ? from_fahrenheit(*shown).value : *shown;
    if (const auto complaint = implausible(quantity, celsius)) {
      read_.refused_temperatures.push_back({line, fmt::format("temperature: {}", complaint->detail)});
    } else {
      read_.readings.push_back({time, sensor_, quantity, celsius});
    }
  }

  const std::string& file_;
  const CsvMapping& mapping_;
  const std::string& sensor_;
  const WallClock& wall_clock_;
  bool header_read_ = false;
  std::vector<std::string> header_;
  std::size_t time_ = 0, gravity_ = 0;
  std::optional<std::size_t> beer_, ambient_;
  std::size_t rather_plato_ = 0;
  std::size_t temperatures_ = 0, too_warm_ = 0;
  RefusedInput first_too_warm_{};
  MappedReadings read_;
};

}  // namespace

Result<MappedReadings> read_mapped_csv(const std::string& file_name, std::string_view text,
                                       const CsvMapping& mapping, const std::string& sensor,
                                       const WallClock& wall_clock) {
  if (text.starts_with("\xff\xfe") || text.starts_with("\xfe\xff")) {
    return malformed_csv(file_name, 1, "the file is UTF-16; save it as UTF-8");
  }
  if (text.starts_with(kByteOrderMark)) text.remove_prefix(kByteOrderMark.size());
  const bool latin1 = !is_utf8(text);
  const std::string decoded = latin1 ? from_latin1(text) : std::string();
  if (latin1) text = decoded;
  Mapper mapper(file_name, mapping, sensor, wall_clock);
  CsvRecords records(file_name, mapping.separator, kMostBytes);
  const auto take = [&](std::size_t line, const std::vector<std::string>& fields) {
    return mapper.take(line, fields);
  };
  BOOST_OUTCOME_TRYV(records.feed(text, take));
  BOOST_OUTCOME_TRYV(records.finish(take));
  BOOST_OUTCOME_TRY(read, mapper.finish());
  read.latin1 = latin1;
  return std::move(read);
}

}  // namespace gyle
