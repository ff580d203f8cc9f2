#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>
#include <vector>

#include "base/rfc3339.h"
#include "base/text.h"
#include "ingest/decoder.h"
#include "ingest/intake.h"
#include "ingest/json_pointer.h"
#include "ingest/json_value.h"
#include "ingest/plausibility.h"
#include "ingest/senml.h"
#include "ingest/topic_filter.h"
#include "ingest/unit.h"

namespace gyle {
namespace {

// A member of the document that holds no others.
struct Leaf {
  std::string pointer;
  std::string key;  // lower case
  const JsonValue* value;
};

struct Guess {
  Quantity quantity;
  Unit unit;
  double scale = 1;
};

struct GuessedField {
  std::string pointer;
  Guess guess;
  std::string seen;
};

constexpr std::size_t kMostLeaves = 200;

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return out;
}

bool mentions(std::string_view text, std::initializer_list<std::string_view> words) {
  return std::any_of(words.begin(), words.end(),
                     [&](std::string_view word) { return text.find(word) != std::string_view::npos; });
}

// The token of a JSON Pointer for a key (RFC 6901 section 3).
std::string token(std::string_view key) {
  std::string out;
  for (const char c : key) out += c == '~' ? "~0" : c == '/' ? "~1" : std::string(1, c);
  return out;
}

void gather(const JsonValue& value, const std::string& pointer, const std::string& key,
            std::vector<Leaf>& leaves) {
  if (leaves.size() >= kMostLeaves) return;
  if (const auto* object = value.object()) {
    for (const auto& [name, member] : *object) {
      // Configuration holds pointers as plain text on one line.
      if (is_clean_text(name)) gather(member, pointer + "/" + token(name), lower(name), leaves);
    }
  } else if (const auto* array = value.array()) {
    for (std::size_t i = 0; i < array->size(); ++i) {
      gather((*array)[i], fmt::format("{}/{}", pointer, i), key, leaves);
    }
  } else {
    leaves.push_back({pointer, key, &value});
  }
}

bool plausible(const Guess& guess, double value) {
  const auto canonical = to_canonical(value * guess.scale, guess.unit);
  return canonical && !implausible(guess.quantity, canonical.value());
}

// What a number may be, by what it is called and by its size; the first candidate that is plausible.
std::optional<Guess> guess(std::string_view word, double value) {
  std::vector<Guess> candidates;
  const bool gravity = mentions(word, {"grav", "plato", "density", "extract"}) || word == "sg";
  if (gravity && value < 1.3) candidates.push_back({Quantity::gravity, Unit::specific_gravity});
  if (gravity && value > 900) candidates.push_back({Quantity::gravity, Unit::specific_gravity, 0.001});
  if (gravity) candidates.push_back({Quantity::gravity, Unit::plato});
  if (mentions(word, {"inclination", "angle"}))
    candidates.push_back({Quantity::inclination, Unit::degree_angle});
  if (mentions(word, {"temp", "cels", "fahr"})) {
    const Quantity quantity = mentions(word, {"ambient", "air", "room", "outside", "chamber", "fridge"})
                                  ? Quantity::ambient_temperature
                                  : Quantity::beer_temperature;
    constexpr double kWarmestBeer = 45;  // degC; a larger number is rather Fahrenheit
    if (value <= kWarmestBeer && !mentions(word, {"fahr"})) candidates.push_back({quantity, Unit::celsius});
    candidates.push_back({quantity, Unit::fahrenheit});
    candidates.push_back({quantity, Unit::kelvin});
  }
  if (mentions(word, {"batt", "volt"}) || word == "bat") {
    if (value < 15) candidates.push_back({Quantity::battery, Unit::volt});
    if (value >= 500) candidates.push_back({Quantity::battery, Unit::millivolt});
  }
  const auto found = std::find_if(candidates.begin(), candidates.end(),
                                  [&](const Guess& candidate) { return plausible(candidate, value); });
  return found == candidates.end() ? std::nullopt : std::optional(*found);
}

// Only offered when it would be believed (ingest/plausibility.h).
std::optional<std::string> time_line(const Leaf& leaf, Time received) {
  if (!mentions(leaf.key, {"time", "date", "stamp", "epoch"}) && leaf.key != "ts") return std::nullopt;
  const char* as = nullptr;
  double epoch_s = 0;
  if (const auto* text = leaf.value->string()) {
    const auto time = parse_rfc3339(*text);
    if (!time) return std::nullopt;
    as = "rfc3339";
    epoch_s = in_seconds(time.value().time_since_epoch());
  } else if (const double* number = leaf.value->number()) {
    constexpr double kMilliseconds = 1e11;  // as seconds: the year 5138
    as = *number < kMilliseconds ? "epoch-s" : "epoch-ms";
    epoch_s = *number < kMilliseconds ? *number : *number / 1e3;
  }
  const double ahead_s = epoch_s - in_seconds(received.time_since_epoch());
  if (!as || ahead_s < -in_seconds(kOldestStamp) || ahead_s > in_seconds(kNewestStamp)) return std::nullopt;
  return fmt::format("time = {{ pointer = {}, as = \"{}\" }}\n", toml_quoted(leaf.pointer), as);
}

bool names_sensor(const Leaf& leaf) {
  const auto* text = leaf.value->string();
  if (!text || !is_sensor_id(*text)) return false;
  return mentions(leaf.key, {"device", "serial", "sensor", "mac"}) || leaf.key == "id" ||
         leaf.key == "name" || leaf.key == "uid" || leaf.key == "uuid";
}

// The level that most likely tells one sensor from another: the last with a digit, else the last but one.
std::size_t likely_level(std::string_view topic) {
  const std::size_t levels = topic_levels(topic);
  for (std::size_t level = levels; level-- > 0;) {
    const std::string_view text = *topic_level(topic, level);
    if (std::any_of(text.begin(), text.end(), [](unsigned char c) { return std::isdigit(c); })) return level;
  }
  return levels > 1 ? levels - 2 : 0;
}

std::string with_wildcard(std::string_view topic, std::size_t wild) {
  std::string filter;
  for (std::size_t level = 0; level < topic_levels(topic); ++level) {
    if (level > 0) filter += '/';
    filter += level == wild ? std::string_view("+") : *topic_level(topic, level);
  }
  return filter;
}

// What every block begins with. No wildcard for a broker's own topics, nor where a level is no id.
std::string opening(std::string_view topic, const char* format, bool sensor_in_payload) {
  const std::size_t level = likely_level(topic);
  const std::string_view here = *topic_level(topic, level);
  const bool wild = topic_levels(topic) > 1 && topic.front() != '$' && is_sensor_id(here);
  std::string text = "[[source]]\n";
  text += fmt::format("topic = {}\n", toml_quoted(wild ? with_wildcard(topic, level) : std::string(topic)));
  text += fmt::format("format = \"{}\"\n", format);
  if (!sensor_in_payload && wild) {
    text +=
        fmt::format("sensor = {{ level = {} }}  # levels count from 0; here: {}\n", level, displayable(here));
  } else if (!sensor_in_payload) {
    text += fmt::format("sensor = {{ name = {} }}  # a name of your choice\n",
                        toml_quoted(displayable(topic, kLongestSensorId)));
  }
  return text;
}

std::string field_block(const GuessedField& field) {
  std::string text = fmt::format("[source.{}]  # seen: {}\n", name(field.guess.quantity), field.seen);
  if (!field.pointer.empty()) text += fmt::format("pointer = {}\n", toml_quoted(field.pointer));
  text += fmt::format("unit = \"{}\"  # please check\n", code(field.guess.unit));
  if (field.guess.scale != 1) text += fmt::format("scale = {}\n", field.guess.scale);
  return text;
}

std::string propose_json(const Message& message, const JsonValue& document) {
  std::vector<Leaf> leaves;
  gather(document, "", "", leaves);
  // Of several equal keys a pointer leads to the last.
  std::erase_if(leaves, [&](const Leaf& leaf) { return find(document, leaf.pointer) != leaf.value; });
  std::vector<GuessedField> fields;
  std::string time;
  const Leaf* sensor = nullptr;
  for (const Leaf& leaf : leaves) {
    if (const auto line = time_line(leaf, message.received); line && time.empty()) {
      time = *line;
      continue;
    }
    if (!sensor && names_sensor(leaf)) sensor = &leaf;
    const double* number = leaf.value->number();
    const auto what = number ? guess(leaf.key, *number) : std::nullopt;
    const bool taken = what && std::any_of(fields.begin(), fields.end(), [&](const GuessedField& field) {
                         return field.guess.quantity == what->quantity;
                       });
    if (what && !taken) fields.push_back({leaf.pointer, *what, fmt::format("{}", *number)});
  }
  if (fields.empty()) return "";
  std::string text = opening(message.topic, "json", sensor != nullptr);
  if (sensor) {
    text += fmt::format("sensor = {{ pointer = {} }}  # here: {}\n", toml_quoted(sensor->pointer),
                        displayable(*sensor->value->string()));
  }
  text += time;
  for (const GuessedField& field : fields) text += field_block(field);
  return text;
}

std::string propose_number(std::string_view topic, double value) {
  for (std::size_t level = topic_levels(topic); level-- > 0;) {
    if (const auto what = guess(lower(*topic_level(topic, level)), value)) {
      return opening(topic, "number", false) + field_block({"", *what, fmt::format("{}", value)});
    }
  }
  return "";
}

}  // namespace

std::string propose_source(const Message& message) {
  constexpr std::size_t kLongestTopic = 512;
  const std::string& topic = message.topic;
  const bool usable = !topic.empty() && topic.size() <= kLongestTopic && is_clean_text(topic) &&
                      topic.find_first_of("+#") == std::string::npos && check_topic_filter(topic);
  if (!usable || message.payload.size() > kLargestPayload) return "";
  const auto parsed = parse_json(message.payload);
  const auto* document = std::get_if<JsonValue>(&parsed);
  if (!document) return "";
  if (const double* number = document->number()) return propose_number(topic, *number);
  if (document->array() && resolve_senml(*document)) {
    const Source senml{topic, Source::Format::senml, std::nullopt, {}, TimeFormat::arrival, ""};
    Message fresh = message;  // whether it came retained says nothing about its form
    fresh.retained = false;
    return decode(fresh, std::array{senml}).readings.empty() ? "" : opening(topic, "senml", true);
  }
  return propose_json(message, *document);
}

}  // namespace gyle
