#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "alerts/channel.h"
#include "base/result.h"

namespace gyle {

// How what is put into a template is written there, so that it stays a value.
enum class Insert {
  plain,
  json,   // the inside of a JSON string (RFC 8259 section 7)
  form,   // a value of application/x-www-form-urlencoded
  header  // a field value of HTTP: one line of at most 1,000 bytes; characters outside of ASCII are UTF-8,
          // which RFC 9110 section 5.5 lets pass and most receivers read
};

// How values are inserted into a body of this type.
Insert insert_for(std::string_view content_type);

// A text with names between braces, which are replaced by what a notice says: {id} {time} {kind} {severity}
// {state} {vessel} {batch} {sensor} {title} {text}. "{{" is a brace; so is a "{" that no lower-case letter
// follows, as the braces of JSON.
class BodyTemplate {
 public:
  // Errc::malformed names an unknown name, or one without its closing brace.
  static Result<BodyTemplate> parse(std::string_view text);

  std::string fill(const Notice& notice, Insert insert) const;

 private:
  std::vector<std::pair<std::string, std::string (*)(const Notice&)>> parts_;  // a text, then a value or none
};

}  // namespace gyle
