#include "ingest/senml.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "base/text.h"

namespace gyle {
namespace {

constexpr double kVersionUnderstood = 10;

enum class Type { number, string, boolean, base64url };
struct Label {
  std::string_view text;
  Type type;
};
constexpr std::array<Label, 14> kLabels{{{"bn", Type::string},
                                         {"bt", Type::number},
                                         {"bu", Type::string},
                                         {"bv", Type::number},
                                         {"bs", Type::number},
                                         {"bver", Type::number},
                                         {"n", Type::string},
                                         {"u", Type::string},
                                         {"v", Type::number},
                                         {"vs", Type::string},
                                         {"vb", Type::boolean},
                                         {"vd", Type::base64url},
                                         {"s", Type::number},
                                         {"t", Type::number}}};
constexpr std::string_view kUpdateTime = "ut";

auto broken(std::size_t record, const std::string& what) {
  return fail(Errc::malformed, fmt::format("record {} of the SenML pack: {}", record + 1, what));
}

bool is_base64url(std::string_view text) {
  return std::all_of(text.begin(), text.end(),
                     [](char c) {
                       return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') ||
                              c == '-' || c == '_';
                     }) &&
         text.size() % 4 != 1;
}

bool has_type(const JsonValue& value, Type type) {
  switch (type) {
    case Type::number:
      return value.number() != nullptr;
    case Type::string:
      return value.string() != nullptr;
    case Type::boolean:
      return std::holds_alternative<bool>(value.is);
    case Type::base64url:
      return value.string() && is_base64url(*value.string());
  }
  return false;
}

// One record's fields, each null when absent.
struct Fields {
  std::array<const JsonValue*, kLabels.size()> found{};

  const JsonValue* at(std::string_view label) const {
    for (std::size_t i = 0; i < kLabels.size(); ++i) {
      if (kLabels[i].text == label) return found[i];
    }
    return nullptr;
  }
  bool has(std::string_view label) const { return at(label) != nullptr; }
  double number(std::string_view label, double otherwise) const {
    const JsonValue* value = at(label);
    return value ? *value->number() : otherwise;
  }
  std::string string(std::string_view label) const {
    const JsonValue* value = at(label);
    return value ? *value->string() : std::string();
  }
};

Result<Fields> fields_of(const JsonValue& record, std::size_t index) {
  const JsonValue::Object* members = record.object();
  if (!members) return broken(index, "not an object");
  Fields fields;
  for (const auto& [key, value] : *members) {
    const auto* label =
        std::find_if(kLabels.begin(), kLabels.end(), [&key = key](const Label& l) { return l.text == key; });
    if (label != kLabels.end()) {
      if (!has_type(value, label->type)) return broken(index, fmt::format("\"{}\" has the wrong type", key));
      fields.found[static_cast<std::size_t>(label - kLabels.begin())] = &value;
    } else if (key == kUpdateTime) {
      if (!value.number()) return broken(index, "\"ut\" has the wrong type");
    } else if (!key.empty() && key.back() == '_') {
      return broken(index, fmt::format("\"{}\" must be understood, and is not", displayable(key)));
    }
  }
  return fields;
}

// RFC 8428 section 4.5.1.
bool is_name(std::string_view name) {
  const auto alphanumeric = [](char c) {
    return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
  };
  return !name.empty() && alphanumeric(name.front()) && std::all_of(name.begin(), name.end(), [&](char c) {
    return alphanumeric(c) || c == '-' || c == ':' || c == '.' || c == '/' || c == '_';
  });
}

}  // namespace

Result<std::vector<SenmlRecord>> resolve_senml(const JsonValue& pack) {
  const JsonValue::Array* records = pack.array();
  if (!records || records->empty()) {
    return fail(Errc::malformed, "a SenML pack is a JSON array of one or more records");
  }
  std::vector<SenmlRecord> resolved;
  std::string base_name;
  std::string base_unit;
  double base_time = 0;
  std::optional<double> base_value;
  bool base_sum = false;
  double version = kVersionUnderstood;
  for (std::size_t i = 0; i < records->size(); ++i) {
    BOOST_OUTCOME_TRY(fields, fields_of((*records)[i], i));
    if (fields.has("bver")) {
      const double stated = fields.number("bver", 0);
      if (!(stated >= 1) || stated != std::floor(stated))
        return broken(i, "\"bver\" is not a positive integer");
      if (stated > kVersionUnderstood) {
        return broken(
            i, fmt::format("version {} is newer than {}, the newest known here", stated, kVersionUnderstood));
      }
      if (i > 0 && stated != version) return broken(i, "all records of a pack have the same version");
      version = stated;
    }
    if (fields.has("bn")) base_name = fields.string("bn");
    if (fields.has("bu")) base_unit = fields.string("bu");
    base_time = fields.number("bt", base_time);
    if (fields.has("bv")) base_value = fields.number("bv", 0);
    base_sum = base_sum || fields.has("bs");

    int values = 0;
    for (const auto* label : {"v", "vs", "vb", "vd"}) values += fields.has(label) ? 1 : 0;
    const bool only_base =
        values == 0 && !fields.has("s") && !fields.has("n") && !fields.has("u") && !fields.has("t");
    if (only_base &&
        std::any_of(fields.found.begin(), fields.found.end(), [](auto* f) { return f != nullptr; })) {
      continue;
    }
    if (values > 1) return broken(i, "more than one of \"v\", \"vs\", \"vb\" and \"vd\"");
    const bool from_base = values == 0 && base_value;
    if (values == 0 && !from_base && !fields.has("s") && !base_sum) return broken(i, "no value and no sum");

    SenmlRecord record;
    record.name = base_name + fields.string("n");
    if (!is_name(record.name)) {
      return broken(i,
                    fmt::format("\"{}\" is no name: it begins with a letter or digit and has only these and "
                                "\"-\", \":\", \".\", \"/\" and \"_\"",
                                displayable(record.name)));
    }
    record.unit = fields.has("u") ? fields.string("u") : base_unit;
    record.time_s = base_time + fields.number("t", 0);
    if (fields.has("v") || from_base) record.value = base_value.value_or(0) + fields.number("v", 0);
    resolved.push_back(std::move(record));
  }
  return resolved;
}

}  // namespace gyle
