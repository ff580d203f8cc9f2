#include "replay/csv_records.h"

#include <fmt/format.h>

namespace gyle {

decltype(fail(Errc::malformed, "")) malformed_csv(const std::string& file, std::size_t line,
                                                  std::string what) {
  // Control characters of the file must not reach a terminal.
  for (char& c : what) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = '?';
  }
  return fail(Errc::malformed, fmt::format("{}:{}: {}", file, line, what));
}

Status CsvRecords::feed(std::string_view bytes, const Take& take) {
  for (const char c : bytes) {
    BOOST_OUTCOME_TRYV(put(c, take));
  }
  return success();
}

Status CsvRecords::finish(const Take& take) {
  if (at_ == At::quoted) return malformed_csv(file_, record_line_, "the file ends inside a quoted field");
  if (at_ == At::after_cr) return malformed_csv(file_, line_, "the file ends after a carriage return");
  return record_bytes_ > 0 ? end_record(take) : Status(success());
}

Status CsvRecords::put(char c, const Take& take) {
  if (at_ == At::after_cr && c != '\n') {
    return malformed_csv(file_, line_, "a carriage return without a line feed after it");
  }
  if (++record_bytes_ > most_bytes_) {
    return malformed_csv(file_, record_line_, fmt::format("a row longer than {} bytes", most_bytes_));
  }
  if (at_ == At::quoted) {
    if (c == '"') {
      at_ = At::after_quote;
    } else {
      if (c == '\n') ++line_;
      fields_.back() += c;
    }
    return success();
  }
  if (c == '\n') {
    ++line_;
    return end_record(take);
  }
  if (c == separator_) {
    fields_.emplace_back();
    at_ = At::field_start;
  } else if (c == '\r') {
    at_ = At::after_cr;
  } else if (c == '"') {
    if (at_ == At::unquoted) {
      return malformed_csv(file_, line_, "a quote inside a field that does not begin with one");
    }
    if (at_ == At::after_quote) fields_.back() += '"';
    at_ = At::quoted;
  } else {
    if (at_ == At::after_quote) {
      return malformed_csv(file_, line_, "text after the closing quote of a field");
    }
    fields_.back() += c;
    at_ = At::unquoted;
  }
  return success();
}

Status CsvRecords::end_record(const Take& take) {
  BOOST_OUTCOME_TRYV(take(record_line_, fields_));
  fields_.assign(1, "");
  at_ = At::field_start;
  record_line_ = line_;
  record_bytes_ = 0;
  return success();
}

}  // namespace gyle
