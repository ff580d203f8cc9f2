#pragma once

#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "base/rfc3339.h"
#include "base/text.h"

namespace gyle::test {

// The rules of CloudEvents 1.0.2 (JSON format, structured mode) that `text` breaks. In our words, from the
// specification (github.com/cloudevents/spec, v1.0.2, Cloud Native Computing Foundation): "Naming
// Conventions", "Type System", "REQUIRED Attributes", "OPTIONAL Attributes", "Size Limits" of spec.md, and
// sections 2.2, 3 and 3.1 of json-format.md.
inline std::vector<std::string> broken_cloud_event_rules(const std::string& text) {
  std::vector<std::string> broken;
  const auto require = [&](bool holds, const std::string& rule) {
    if (!holds) broken.push_back(rule);
  };
  const auto event = nlohmann::json::parse(text, nullptr, false);
  require(event.is_object(), "an event is a JSON object");
  if (!event.is_object()) return broken;
  require(text.size() <= 64 * 1024, "events of up to 64 KiB are forwarded by everyone");

  for (const char* name : {"id", "source", "specversion", "type"})
    require(event.contains(name) && event[name].is_string() && !event[name].get<std::string>().empty(),
            std::string(name) + " is required and not empty");
  require(event.value("specversion", "") == "1.0", "specversion is 1.0");
  require(!(event.contains("data") && event.contains("data_base64")),
          "data and data_base64 exclude each other");

  for (const auto& [name, value] : event.items()) {
    if (name == "data" || name == "data_base64") continue;
    require(name.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789") == std::string::npos,
            "attribute names are lower-case letters and digits: " + name);
    require(name.size() <= 20, "attribute names should not exceed 20 characters: " + name);
    const bool typed = value.is_string() || value.is_boolean() || value.is_null() ||
                       (value.is_number_integer() && value.get<double>() <= 2147483647.0 &&
                        value.get<double>() >= -2147483648.0);
    require(typed, "an attribute is a string, a boolean or a 32-bit integer: " + name);
    if (value.is_string())
      require(is_clean_text(value.get<std::string>()), "strings hold no control characters: " + name);
  }
  for (const char* name : {"subject", "datacontenttype", "dataschema", "time"}) {
    if (event.contains(name) && !event[name].is_null())
      require(event[name].is_string() && !event[name].get<std::string>().empty(),
              std::string(name) + " is not empty when it is there");
  }
  if (event.contains("time") && event["time"].is_string())
    require(parse_rfc3339(event["time"].get<std::string>()).has_value(), "time is a date-time of RFC 3339");
  // RFC 3986 appendix A: the characters of a URI reference.
  require(event.value("source", "")
                  .find_first_not_of("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"
                                     "-._~:/?#[]@!$&'()*+,;=%") == std::string::npos,
          "source is a URI reference");
  if (event.contains("datacontenttype"))
    require(event["datacontenttype"].get<std::string>().find('/') != std::string::npos,
            "datacontenttype is a media type");
  return broken;
}

}  // namespace gyle::test
