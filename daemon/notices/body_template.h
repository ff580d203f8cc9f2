#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"
#include "notices/notice.h"

namespace gyle {

// How an inserted value is escaped.
enum class Insert {
  plain,
  json,   // inside a JSON string (RFC 8259 section 7)
  form,   // a value of application/x-www-form-urlencoded
  header  // an HTTP field value: one line of at most 1,000 bytes, in UTF-8 (allowed by RFC 9110 section 5.5)
};

// The escaping for a body of this media type.
Insert insert_for(std::string_view content_type);

// A text with placeholders for the fields of a notice: {id} {time} {kind} {severity} {state} {vessel} {batch}
// {sensor} {title} {text}. "{{" is a literal brace; so is "{" before anything but a lower-case letter, as in
// JSON.
//   tests  unit/notices/body_template_test.cpp
class BodyTemplate {
 public:
  // Errc::malformed for an unknown placeholder or a missing closing brace; the message names it.
  static Result<BodyTemplate> parse(std::string_view text);

  std::string fill(const Notice& notice, Insert insert) const;

 private:
  std::vector<std::pair<std::string, std::string (*)(const Notice&)>>
      parts_;  // literal text, then a placeholder or none
};

}  // namespace gyle
