#include "ingest/json_value.h"

#include <fmt/format.h>

#include <limits>
#include <nlohmann/json.hpp>

namespace gyle {
namespace {

// Builds the tree; returning false stops the parser at once.
class Builder : public nlohmann::json_sax<nlohmann::json> {
 public:
  bool null() override { return add(JsonValue{nullptr}); }
  bool boolean(bool value) override { return add(JsonValue{value}); }
  bool number_integer(std::int64_t value) override {
    return add(JsonValue{JsonNumber{static_cast<double>(value), value}});
  }
  bool number_unsigned(std::uint64_t value) override {
    const bool fits = value <= static_cast<std::uint64_t>(std::numeric_limits<std::int64_t>::max());
    return add(JsonValue{JsonNumber{static_cast<double>(value),
                                    fits ? std::optional(static_cast<std::int64_t>(value)) : std::nullopt}});
  }
  bool number_float(double value, const std::string&) override {
    return add(JsonValue{JsonNumber{value, std::nullopt}});
  }
  bool string(std::string& value) override { return add(JsonValue{std::move(value)}); }
  bool binary(nlohmann::json::binary_t&) override { return false; }
  bool start_object(std::size_t) override { return open(JsonValue{JsonValue::Object{}}); }
  bool start_array(std::size_t) override { return open(JsonValue{JsonValue::Array{}}); }
  bool end_object() override { return close(); }
  bool end_array() override { return close(); }
  bool key(std::string& name) override {
    std::get<JsonValue::Object>(open_.back().is).push_back({std::move(name), JsonValue{nullptr}});
    return true;
  }
  bool parse_error(std::size_t position, const std::string&,
                   const nlohmann::detail::exception& error) override {
    constexpr int kNumberOverflow = 406;
    complaint =
        error.id == kNumberOverflow
            ? JsonComplaint{RefusalReason::not_a_number,
                            fmt::format("the number that ends at byte {} is too large", position)}
            : JsonComplaint{RefusalReason::not_json, fmt::format("not JSON from byte {} on", position)};
    return false;
  }

  JsonValue root{nullptr};
  JsonComplaint complaint{RefusalReason::not_json, "not JSON"};

 private:
  bool add(JsonValue value) {
    if (open_.empty()) {
      root = std::move(value);
    } else if (auto* array = std::get_if<JsonValue::Array>(&open_.back().is)) {
      array->push_back(std::move(value));
    } else {
      std::get<JsonValue::Object>(open_.back().is).back().value = std::move(value);
    }
    return true;
  }
  bool open(JsonValue container) {
    if (open_.size() >= kJsonDepth) {
      complaint.detail = fmt::format("JSON nested more than {} deep", kJsonDepth);
      return false;
    }
    open_.push_back(std::move(container));
    return true;
  }
  bool close() {
    JsonValue done = std::move(open_.back());
    open_.pop_back();
    return add(std::move(done));
  }

  std::vector<JsonValue> open_;
};

}  // namespace

const double* JsonValue::number() const {
  const auto* found = std::get_if<JsonNumber>(&is);
  return found ? &found->value : nullptr;
}

const JsonValue* JsonValue::member(std::string_view key) const {
  const Object* members = object();
  if (!members) return nullptr;
  for (auto it = members->rbegin(); it != members->rend(); ++it) {
    if (it->key == key) return &it->value;
  }
  return nullptr;
}

std::variant<JsonValue, JsonComplaint> parse_json(std::string_view text) {
  // The library takes a zero byte for the end of the text and would not look at what follows.
  if (const std::size_t zero = text.find('\0'); zero != std::string_view::npos) {
    return JsonComplaint{RefusalReason::not_json, fmt::format("not JSON from byte {} on", zero + 1)};
  }
  Builder builder;
  if (nlohmann::json::sax_parse(text.begin(), text.end(), &builder)) return std::move(builder.root);
  return std::move(builder.complaint);
}

}  // namespace gyle
