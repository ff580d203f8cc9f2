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
#include "ingest/number_decoder.h"
#include "ingest/plausibility.h"
#include "ingest/senml.h"
#include "ingest/topic_filter.h"
#include "ingest/unit.h"

namespace gyle {
namespace {

// The name of a number, as its sensor gives it: in lower case, and in parts ("tempF" and "temp_f": temp, f).
struct Name {
  std::string text;
  std::vector<std::string> parts;

  bool mentions(std::initializer_list<std::string_view> words) const {
    return std::any_of(words.begin(), words.end(),
                       [&](std::string_view word) { return text.find(word) != std::string::npos; });
  }
  bool has_part(std::initializer_list<std::string_view> words) const {
    return std::any_of(words.begin(), words.end(), [&](std::string_view word) {
      return std::find(parts.begin(), parts.end(), word) != parts.end();
    });
  }
};

// A number, text or other value of the document without members.
struct Leaf {
  std::string pointer;
  Name name;
  Name around;                      // the member that holds it; empty at the top
  std::optional<std::string> unit;  // as given by a member beside it
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

Name named(std::string_view text) {
  Name name{lower_case(text), {}};
  bool inside = false;
  unsigned char before = 0;
  for (const char raw : text) {
    const auto c = static_cast<unsigned char>(raw);
    const bool hump = std::isupper(c) && std::islower(before);
    if (!std::isalpha(c)) {
      inside = false;
    } else if (!inside || hump) {
      name.parts.emplace_back();
      inside = true;
    }
    if (inside) name.parts.back() += static_cast<char>(std::tolower(c));
    before = c;
  }
  return name;
}

// The unit that another member beside a number names.
std::optional<Unit> unit_written(const std::string& text) {
  if (const auto unit = unit_coded(text)) return unit;
  const std::string word = lower_case(text);
  if (word == "cel" || word == "c" || word == "degc" || word == "celsius") return Unit::celsius;
  if (word == "f" || word == "degf" || word == "fahrenheit") return Unit::fahrenheit;
  if (word == "k" || word == "kelvin") return Unit::kelvin;
  if (word == "sg") return Unit::specific_gravity;
  if (word == "p" || word == "plato" || word == "°p") return Unit::plato;
  if (word == "v" || word == "volt" || word == "volts") return Unit::volt;
  return std::nullopt;
}

// The token of a JSON Pointer for a key (RFC 6901 section 3).
std::string token(std::string_view key) {
  std::string out;
  for (const char c : key) out += c == '~' ? "~0" : c == '/' ? "~1" : std::string(1, c);
  return out;
}

// The unit that an object gives for the number in it.
std::optional<std::string> unit_beside(const JsonValue& object) {
  for (const char* key : {"unit", "units", "uom", "unit_of_measurement"}) {
    const JsonValue* found = object.member(key);
    if (found && found->string()) return *found->string();
  }
  return std::nullopt;
}

struct Surroundings {
  std::string pointer;
  Name name;
  Name around;
  std::optional<std::string> unit;
};

void gather(const JsonValue& value, const Surroundings& here, std::vector<Leaf>& leaves) {
  if (leaves.size() >= kMostLeaves) return;
  if (const auto* object = value.object()) {
    const auto unit = unit_beside(value);
    for (const auto& [key, member] : *object) {
      // Configuration holds pointers as plain text on one line.
      if (!is_clean_text(key)) continue;
      gather(member, {here.pointer + "/" + token(key), named(key), here.name, unit}, leaves);
    }
  } else if (const auto* array = value.array()) {
    for (std::size_t i = 0; i < array->size(); ++i) {
      gather((*array)[i], {fmt::format("{}/{}", here.pointer, i), here.name, here.around, here.unit}, leaves);
    }
  } else {
    leaves.push_back({here.pointer, here.name, here.around, here.unit, &value});
  }
}

bool plausible(const Guess& guess, double value) {
  const auto canonical = to_canonical(value * guess.scale, guess.unit);
  return canonical && !implausible(guess.quantity, canonical.value());
}

bool is_temperature(const Name& name) {
  return name.mentions({"temp", "cels", "fahr"}) || name.has_part({"t", "degc", "degf"}) ||
         (name.parts.size() == 1 && name.has_part({"c", "f"}));
}

bool is_ambient(const Name& name) {
  return name.mentions({"ambient", "room", "outside", "chamber", "fridge", "freezer"}) ||
         name.has_part({"air"});
}

void add_temperatures(const Name& name, Quantity quantity, double value, std::vector<Guess>& candidates) {
  constexpr double kWarmestBeer = 45;  // degC; a larger number is more likely Fahrenheit
  const bool fahrenheit = name.mentions({"fahr"}) || name.has_part({"f", "degf"});
  const bool celsius = name.mentions({"cels"}) || name.has_part({"c", "degc", "cel"});
  if (!fahrenheit && (celsius || value <= kWarmestBeer)) candidates.push_back({quantity, Unit::celsius});
  if (!celsius) candidates.push_back({quantity, Unit::fahrenheit});
  if (!celsius && !fahrenheit) candidates.push_back({quantity, Unit::kelvin});
}

// What a number may be, by what it is called and by its size, likeliest first.
std::vector<Guess> guesses(const Name& name, double value) {
  std::vector<Guess> candidates;
  const bool gravity = name.mentions({"grav", "plato", "density", "extract"}) || name.has_part({"sg"});
  if (gravity && value < 1.3) candidates.push_back({Quantity::gravity, Unit::specific_gravity});
  if (gravity && value > 900) candidates.push_back({Quantity::gravity, Unit::specific_gravity, 0.001});
  if (gravity) candidates.push_back({Quantity::gravity, Unit::plato});
  if (name.mentions({"inclination", "angle"})) {
    candidates.push_back({Quantity::inclination, Unit::degree_angle});
  }
  if (is_temperature(name)) {
    add_temperatures(name, is_ambient(name) ? Quantity::ambient_temperature : Quantity::beer_temperature,
                     value, candidates);
  }
  if (name.mentions({"batt", "volt"}) || name.has_part({"bat"})) {
    if (value < 15) candidates.push_back({Quantity::battery, Unit::volt});
    if (value >= 500) candidates.push_back({Quantity::battery, Unit::millivolt});
  }
  return candidates;
}

// When nothing names it, a number may still be a gravity or a temperature by its size.
std::vector<Guess> nameless_guesses(const Name& name, double value) {
  if (value == 0 || value == 1) return {};  // more likely a switch
  if (name.mentions({"humid", "power", "watt", "current", "rssi", "signal", "level", "uptime", "count",
                     "press", "energy", "percent", "light", "lux", "co2", "ppm", "interval", "version",
                     "time"})) {
    return {};
  }
  const Quantity temperature = is_ambient(name) ? Quantity::ambient_temperature : Quantity::beer_temperature;
  if (value >= 0.98 && value <= 1.2) return {{Quantity::gravity, Unit::specific_gravity}};
  if (value >= 980 && value <= 1200) return {{Quantity::gravity, Unit::specific_gravity, 0.001}};
  if (value >= -5 && value <= 45) return {{temperature, Unit::celsius}};
  return {};
}

std::optional<Guess> first_plausible(const std::vector<Guess>& candidates, double value) {
  const auto found = std::find_if(candidates.begin(), candidates.end(),
                                  [&](const Guess& candidate) { return plausible(candidate, value); });
  return found == candidates.end() ? std::nullopt : std::optional(*found);
}

// By the unit given beside it; its name, if any, gives the quantity.
std::optional<Guess> guess_by_unit(const Name& name, Unit unit, double value) {
  std::vector<Guess> candidates;
  if (is_ambient(name)) candidates.push_back({Quantity::ambient_temperature, unit});
  for (const Quantity quantity :
       {Quantity::gravity, Quantity::beer_temperature, Quantity::inclination, Quantity::battery}) {
    candidates.push_back({quantity, unit});
  }
  std::erase_if(candidates, [unit](const Guess& one) { return !fits(unit, one.quantity); });
  return first_plausible(candidates, value);
}

Name of_topic(std::string_view topic) { return named(topic); }

// `topic` is used when neither the number nor its object names the quantity.
std::optional<Guess> guess(const Leaf& leaf, std::string_view topic, double value) {
  Name name = leaf.name;
  if (!leaf.around.text.empty()) {
    name.text = leaf.around.text + " " + name.text;
    name.parts.insert(name.parts.begin(), leaf.around.parts.begin(), leaf.around.parts.end());
  }
  const bool is_value = leaf.name.text.empty() || leaf.name.has_part({"value", "val", "reading", "state"});
  if (leaf.unit && is_value) {
    const auto unit = unit_written(*leaf.unit);
    if (!unit) return std::nullopt;  // of something else
    Name all = of_topic(topic);
    all.text += " " + name.text;
    all.parts.insert(all.parts.end(), name.parts.begin(), name.parts.end());
    return guess_by_unit(all, *unit, value);
  }
  for (const Name& one : {leaf.name, name}) {
    if (const auto found = first_plausible(guesses(one, value), value)) return found;
  }
  if (!is_value || !leaf.around.text.empty()) return std::nullopt;
  for (std::size_t level = topic_levels(topic); level-- > 0;) {
    Name one = named(*topic_level(topic, level));
    auto candidates = guesses(one, value);
    if (is_ambient(of_topic(topic))) {
      for (Guess& candidate : candidates) {
        if (candidate.quantity == Quantity::beer_temperature)
          candidate.quantity = Quantity::ambient_temperature;
      }
    }
    if (const auto found = first_plausible(candidates, value)) return found;
  }
  return first_plausible(nameless_guesses(of_topic(topic), value), value);
}

// Only offered when it would be believed (ingest/plausibility.h).
std::optional<std::string> time_line(const Leaf& leaf, Time received) {
  if (!leaf.name.mentions({"time", "date", "stamp", "epoch"}) && leaf.name.text != "ts") return std::nullopt;
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
  return leaf.name.mentions({"device", "serial", "sensor", "mac"}) || leaf.name.text == "id" ||
         leaf.name.text == "name" || leaf.name.text == "uid" || leaf.name.text == "uuid";
}

// The level that most likely distinguishes one sensor from another: the last with a digit, else the last that
// is not a common ending.
std::size_t likely_level(std::string_view topic) {
  const std::size_t levels = topic_levels(topic);
  for (std::size_t level = levels; level-- > 0;) {
    const std::string_view text = *topic_level(topic, level);
    if (std::any_of(text.begin(), text.end(), [](unsigned char c) { return std::isdigit(c); })) return level;
  }
  const Name last = named(*topic_level(topic, levels - 1));
  const bool common = is_temperature(last) || !guesses(last, 1).empty() ||
                      last.mentions({"state", "value", "sensor", "data", "status", "telemetry", "reading"});
  return levels > 1 && common ? levels - 2 : levels - 1;
}

// The beginning of every block. The topic is kept as it is: a wildcard would also read other sensors'
// messages.
std::string opening(std::string_view topic, const char* format, bool sensor_in_payload) {
  const std::size_t level = likely_level(topic);
  const std::string_view here = *topic_level(topic, level);
  const bool is_id = topic_levels(topic) > 1 && topic.front() != '$' && is_sensor_id(here);
  std::string text = "[[source]]\n";
  text += fmt::format("topic = {}\n", toml_quoted(topic));
  text += fmt::format("format = \"{}\"\n", format);
  if (!sensor_in_payload && is_id) {
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

// The numbers that no field uses, so that nothing is left out silently.
std::string unused_line(const std::vector<std::string>& unused) {
  constexpr std::size_t kShown = 8;
  if (unused.empty()) return "";
  const std::vector<std::string> first(
      unused.begin(), unused.begin() + static_cast<std::ptrdiff_t>(std::min(unused.size(), kShown)));
  return fmt::format("# not used: {}{}\n", fmt::join(first, ", "), unused.size() > kShown ? ", ..." : "");
}

std::string propose_json(const Message& message, const JsonValue& document) {
  std::vector<Leaf> leaves;
  gather(document, {}, leaves);
  // Of several equal keys a pointer leads to the last.
  std::erase_if(leaves, [&](const Leaf& leaf) { return find(document, leaf.pointer) != leaf.value; });
  std::vector<GuessedField> fields;
  std::vector<std::string> unused;
  std::string time;
  const Leaf* sensor = nullptr;
  for (const Leaf& leaf : leaves) {
    if (const auto line = time_line(leaf, message.received); line && time.empty()) {
      time = *line;
      continue;
    }
    if (!sensor && names_sensor(leaf)) {
      sensor = &leaf;
      continue;
    }
    const auto number = number_in(*leaf.value);
    if (!number) continue;
    const auto what = guess(leaf, message.topic, *number);
    const bool taken = what && std::any_of(fields.begin(), fields.end(), [&](const GuessedField& field) {
                         return field.guess.quantity == what->quantity;
                       });
    if (what && !taken) {
      fields.push_back({leaf.pointer, *what, fmt::format("{}", *number)});
    } else {
      unused.push_back(fmt::format("{} = {}", displayable(leaf.pointer), *number));
    }
  }
  if (fields.empty()) return "";
  std::string text = opening(message.topic, "json", sensor != nullptr);
  if (sensor) {
    text += fmt::format("sensor = {{ pointer = {} }}  # here: {}\n", toml_quoted(sensor->pointer),
                        displayable(*sensor->value->string()));
  }
  text += time + unused_line(unused);
  for (const GuessedField& field : fields) text += field_block(field);
  return text;
}

std::string propose_number(std::string_view topic, const JsonValue& document, double value) {
  const auto what = guess({"", {}, {}, std::nullopt, &document}, topic, value);
  if (!what) return "";
  return opening(topic, "number", false) + field_block({"", *what, fmt::format("{}", value)});
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
  if (const auto number = payload_number(message.payload)) return propose_number(topic, *document, *number);
  if (!document->array() && !document->object()) return "";
  if (document->array() && resolve_senml(*document)) {
    const Source senml{topic, Source::Format::senml, std::nullopt, {}, TimeFormat::arrival, ""};
    Message fresh = message;  // whether it came retained says nothing about its form
    fresh.retained = false;
    return decode(fresh, std::array{senml}).readings.empty() ? "" : opening(topic, "senml", true);
  }
  return propose_json(message, *document);
}

}  // namespace gyle
