#include "csv_json.h"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>

#include "hold_text.h"
#include "output_file.h"
#include "replay/csv_records.h"

namespace gyle {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t kLongestRecord = 1 << 20;

Json value_of(const std::string& column, const std::string& field) {
  constexpr std::array<std::string_view, 3> kText{"sensor", "text", "evidence"};
  const bool text = std::find(kText.begin(), kText.end(), column) != kText.end();
  if (field.empty() && !text) return nullptr;
  const auto number = parse_number(field);
  return !text && number ? Json(number.value()) : Json(field);
}

}  // namespace

Result<std::string> rows_as_json(const std::string& csv) {
  std::vector<std::string> columns;
  std::string json;
  const auto take = [&](std::size_t line, const std::vector<std::string>& fields) -> Status {
    if (columns.empty()) {
      columns = fields;
      return success();
    }
    if (fields.size() != columns.size())
      return malformed_csv("answer", line, "a row is not as long as the header");
    Json row;
    for (std::size_t i = 0; i < fields.size(); ++i) row[columns[i]] = value_of(columns[i], fields[i]);
    json += (json.empty() ? "[" : ",\n") + row.dump(-1, ' ', false, Json::error_handler_t::replace);
    return success();
  };
  CsvRecords records("answer", ',', kLongestRecord);
  BOOST_OUTCOME_TRYV(records.feed(csv, take));
  BOOST_OUTCOME_TRYV(records.finish(take));
  return (json.empty() ? "[" : json) + "]\n";
}

Exit write_rows(const Result<std::string>& csv, const std::optional<std::filesystem::path>& output,
                const CommonOptions& common) {
  if (!csv) return complain(csv.error());
  const auto rows = common.json ? rows_as_json(csv.value()) : csv;
  if (!rows) return complain(rows.error());
  const auto written = write_out(output, rows.value());
  return written ? Exit::ok : complain(written.error());
}

}  // namespace gyle
