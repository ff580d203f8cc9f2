#include "config/batch_file.h"

#include <catch2/catch.hpp>
#include <cmath>
#include <limits>
#include <random>

#include "base/rfc3339.h"
#include "config/batch_validation.h"

using namespace gyle;

namespace {

const char* const kWhole = R"(name = "Amber no. 12, second run"
pitched = 2026-03-01T18:30:00Z
original_gravity = 1.048
volume = "12 L"
[yeast]
name = "house"
attenuation = [0.73, 0.79]
temperature = ["16 Cel", "71.6 F"]
[final_gravity]
window = "36 h"
tolerance = 0.002
[[plan]]
hold = "17 Cel"
until = { progress = 0.75 }
[[plan]]
hold = "20 Cel"
until = { days = 3 }
[[plan]]
hold = "20 Cel"
until = { gravity = 1.014 }
[[plan]]
hold = "20 Cel"
until = "final-gravity"
)";

bool same(const HoldEnd& a, const HoldEnd& b) {
  if (a.index() != b.index()) return false;
  if (const auto* end = std::get_if<UntilProgress>(&a))
    return end->fraction == std::get<UntilProgress>(b).fraction;
  if (const auto* end = std::get_if<UntilAttenuation>(&a))
    return end->apparent == std::get<UntilAttenuation>(b).apparent;
  if (const auto* end = std::get_if<UntilDays>(&a)) return end->days == std::get<UntilDays>(b).days;
  if (const auto* end = std::get_if<UntilGravity>(&a))
    return end->gravity == std::get<UntilGravity>(b).gravity;
  return true;
}

void check_same(const BatchSpec& a, const BatchSpec& b) {
  CHECK(a.name == b.name);
  CHECK(a.pitched == b.pitched);
  CHECK(a.original_gravity == b.original_gravity);
  CHECK(a.volume_l == b.volume_l);
  CHECK(a.yeast.name == b.yeast.name);
  CHECK(a.yeast.attenuation_low == b.yeast.attenuation_low);
  CHECK(a.yeast.attenuation_high == b.yeast.attenuation_high);
  CHECK(a.yeast.attenuation_given == b.yeast.attenuation_given);
  CHECK(a.yeast.attenuation_batches == b.yeast.attenuation_batches);
  CHECK(a.yeast.half_low_h == b.yeast.half_low_h);
  CHECK(a.yeast.half_high_h == b.yeast.half_high_h);
  CHECK(a.yeast.temperature_low == b.yeast.temperature_low);
  CHECK(a.yeast.temperature_high == b.yeast.temperature_high);
  CHECK(a.final_gravity.window == b.final_gravity.window);
  CHECK(a.final_gravity.tolerance == b.final_gravity.tolerance);
  REQUIRE(a.plan.size() == b.plan.size());
  for (std::size_t i = 0; i < a.plan.size(); ++i) {
    CHECK(a.plan[i].temperature == b.plan[i].temperature);
    CHECK(same(a.plan[i].until, b.plan[i].until));
  }
}

}  // namespace

TEST_CASE("a batch file is read whole") {
  const auto parsed = parse_batch(kWhole, "BATCH.toml");
  if (!parsed) FAIL(parsed.error().message);
  const BatchSpec& batch = parsed.value();
  CHECK(batch.name == "Amber no. 12, second run");
  CHECK(batch.pitched == parse_rfc3339("2026-03-01T18:30:00Z").value());
  CHECK(batch.original_gravity->value() == 1.048);
  CHECK(batch.volume_l == 12.0);
  CHECK(batch.yeast.attenuation_low == 0.73);
  CHECK(batch.yeast.attenuation_high == 0.79);
  CHECK(batch.yeast.temperature_low.value == 16);
  CHECK(batch.yeast.temperature_high.value == Approx(22));
  CHECK(batch.final_gravity.window == hours(36));
  CHECK(batch.final_gravity.tolerance.value == 2.0);
  REQUIRE(batch.plan.size() == 4);
  CHECK(std::get<UntilProgress>(batch.plan[0].until).fraction == 0.75);
  CHECK(std::get<UntilDays>(batch.plan[1].until).days == 3);
  CHECK(std::get<UntilGravity>(batch.plan[2].until).gravity.value() == 1.014);
  CHECK(std::holds_alternative<UntilFinalGravity>(batch.plan[3].until));
}

TEST_CASE("keys that a batch file leaves out have their defaults") {
  const auto parsed = parse_batch("name = \"a\"\npitched = 2026-03-01T19:30:00+01:00\n", "b");
  REQUIRE(parsed.has_value());
  BatchSpec expected;
  expected.name = "a";
  expected.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  check_same(parsed.value(), expected);
  CHECK(parsed.value().final_gravity.window == hours(48));
  CHECK(parsed.value().final_gravity.tolerance.value == 1.0);
}

TEST_CASE("a gravity may be written in degrees Plato") {
  const auto parsed =
      parse_batch("name = \"a\"\npitched = 2026-03-01T18:30:00Z\noriginal_gravity = \"12 P\"\n", "b");
  REQUIRE(parsed.has_value());
  // NBS Circular C440 table 114: 12 % is 1.04837.
  CHECK(parsed.value().original_gravity->value() == Approx(1.04837).margin(2.5e-5).epsilon(0));
}

TEST_CASE("a batch that is written reads back the same") {
  check_same(parse_batch(format_batch(parse_batch(kWhole, "a").value()), "b").value(),
             parse_batch(kWhole, "c").value());
}

TEST_CASE("any valid batch that is written reads back the same") {
  const auto seed = GENERATE(range(1u, 301u));
  CAPTURE(seed);
  std::mt19937_64 random(seed);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution(low, high)(random);
  };
  BatchSpec batch;
  const char* const names[] = {"a", "\"quoted\" \\ back", "Bräu № 7", "# = [x]", "it's"};
  batch.name = names[random() % std::size(names)];
  batch.pitched = Time(Duration(1772389800000 + static_cast<std::int64_t>(random() % 100000000)));
  if (random() % 2) batch.original_gravity = SpecificGravity::unchecked(between(1.02, 1.12));
  if (random() % 2) batch.volume_l = between(1, 60);
  batch.yeast.name = names[random() % std::size(names)];
  const auto whose = random() % 3;
  if (whose > 0) {
    batch.yeast.attenuation_low = between(0.5, 0.8);
    batch.yeast.attenuation_high = between(0.8, 1.0);
    batch.yeast.attenuation_given = whose == 1;
    batch.yeast.attenuation_batches = whose == 1 ? 0 : 1 + static_cast<int>(random() % 40);
  }
  if (random() % 2) {
    batch.yeast.half_low_h = between(10, 40);
    batch.yeast.half_high_h = between(40, 90);
  }
  batch.yeast.temperature_low = Celsius{between(0, 18)};
  batch.yeast.temperature_high = Celsius{between(18, 40)};
  batch.final_gravity.window = Duration(3600000 + static_cast<std::int64_t>(random() % 1000000000));
  batch.final_gravity.tolerance = GravityPoints{std::round(between(0.1, 9) * 1000) / 1000};
  for (std::size_t i = random() % 5; i > 0; --i) {
    const HoldEnd ends[] = {
        UntilProgress{between(0.01, 1.5)}, UntilAttenuation{between(0.01, 1.0)}, UntilDays{between(0.1, 30)},
        UntilGravity{SpecificGravity::unchecked(between(1.0, 1.05))}, UntilFinalGravity{}};
    batch.plan.push_back({Celsius{between(-4, 40)}, ends[random() % 5]});
  }
  REQUIRE(validate(batch).has_value());
  const auto parsed = parse_batch(format_batch(batch), "b");
  CAPTURE(format_batch(batch));
  if (!parsed) FAIL(parsed.error().message);
  check_same(parsed.value(), batch);
}

TEST_CASE("additions are read in order of time and written back") {
  const std::string text = std::string(kWhole) + R"([[addition]]
what = "fruit"
at = 2026-03-05T08:00:00Z
amount = "1.5 kg"
sugar = 0.1
[[addition]]
what = "water"
at = 2026-03-04T08:00:00+01:00
amount = "2 L"
)";
  const auto batch = parse_batch(text, "b.toml");
  REQUIRE(batch);
  const std::vector<Addition> wanted{
      {AdditionKind::water, parse_rfc3339("2026-03-04T07:00:00Z").value(), 2, 0},
      {AdditionKind::fruit, parse_rfc3339("2026-03-05T08:00:00Z").value(), 1.5, 0.1}};
  CHECK(batch.value().additions == wanted);
  const auto again = parse_batch(format_batch(batch.value()), "b.toml");
  REQUIRE(again);
  CHECK(again.value().additions == wanted);
}

TEST_CASE("an addition that cannot be is refused") {
  struct Row {
    const char* block;
    const char* message;
  };
  const auto row = GENERATE(values<Row>({
      {"what = \"honey\"\nat = 2026-03-05T08:00:00Z\namount = \"1 kg\"\n", "addition[1].what"},
      {"what = \"sugar\"\nat = 2026-02-05T08:00:00Z\namount = \"1 kg\"\n", "before the pitch"},
      {"what = \"sugar\"\nat = 2026-03-05T08:00:00Z\namount = \"13 kg\"\n", "more than the beer"},
      {"what = \"water\"\nat = 2026-03-05T08:00:00Z\namount = \"1 kg\"\n", "addition[1].amount"},
      {"what = \"fruit\"\nat = 2026-03-05T08:00:00Z\namount = \"1 kg\"\n", "addition[1].sugar"},
      {"what = \"sugar\"\nat = 2026-03-05T08:00:00Z\namount = \"1 kg\"\nsugar = 0.5\n", "only fruit"},
      {"what = \"sugar\"\nat = 2026-03-05T08:00:00Z\n", "addition[1].amount"},
  }));
  CAPTURE(row.block);
  const auto batch = parse_batch(std::string(kWhole) + "[[addition]]\n" + row.block, "b.toml");
  REQUIRE(!batch);
  CHECK(batch.error().message.find(row.message) != std::string::npos);
}

TEST_CASE("an error in a batch file is reported with file, line, key and what is expected") {
  struct Row {
    const char* from;
    const char* to;
    const char* where;
    const char* hint;
  };
  const auto row = GENERATE(values<Row>({
      {"name = \"Amber no. 12, second run\"", "", "1: name: ", "missing"},
      {"name = \"Amber no. 12, second run\"", "name = \"\"", "1: name: ", "characters"},
      {"name = \"Amber no. 12, second run\"", "name = \"  \"", "1: name: ", "characters"},
      {"name = \"Amber no. 12, second run\"", "name = \"Amber\xe2\x80\xae no. 12\"",
       "1: name: ", "cannot be seen"},
      {"name = \"Amber no. 12, second run\"", "name = \"Amber\xe2\x80\x8b\"", "1: name: ", "cannot be seen"},
      {"2026-03-01T18:30:00Z", "2026-03-01T18:30:00", "2: pitched: ", "offset"},
      {"2026-03-01T18:30:00Z", "\"2026-03-01T18:30:00Z\"", "2: pitched: ", "without quotation marks"},
      {"2026-03-01T18:30:00Z", "2026-02-30T18:30:00Z", "2: ", ""},
      {"2026-03-01T18:30:00Z", "1026-03-01T18:30:00Z", "2: pitched: ", "1990 to 2200"},
      {"1.048", "1048", "3: original_gravity: ", "1.0480"},
      {"1.048", "true", "3: original_gravity: ", "\"12 P\""},
      {"1.048", "1.001", "3: original_gravity: ", "1.005"},
      {"1.048", "nan", "3: original_gravity: ", "\"12 P\""},
      {"\"12 L\"", "20", "4: volume: ", "\"20 L\""},
      {"\"12 L\"", "\"0 L\"", "4: volume: ", "above 0"},
      {"[0.73, 0.79]", "[73, 79]", "7: yeast.attenuation: ", "[0.73, 0.79]"},
      {"[0.73, 0.79]", "[0.79, 0.73]", "7: yeast.attenuation: ", "low and high"},
      {"[0.73, 0.79]", "0.75", "7: yeast.attenuation: ", "low and high"},
      {"\"71.6 F\"", "\"71.6\"", "8: yeast.temperature: ", "C, F or K"},
      {"\"71.6 F\"", "\"10 Cel\"", "8: yeast.temperature: ", "low and high"},
      {", \"71.6 F\"", "", "8: yeast.temperature: ", "low and high"},
      {"\"36 h\"", "36", "10: final_gravity.window: ", "\"48 h\""},
      {"\"36 h\"", "\"5 min\"", "10: final_gravity.window: ", "1 h"},
      {"0.002", "2", "11: final_gravity.tolerance: ", "0.01"},
      {"0.002", "0", "11: final_gravity.tolerance: ", "above 0"},
      {"tolerance", "tolerence", "11: final_gravity.tolerence: ", "\"tolerance\""},
      {"\"17 Cel\"", "18", "13: plan[1].hold: ", "\"18 C\""},
      {"\"17 Cel\"", "\"90 Cel\"", "13: plan[1].hold: ", "-5 and 50"},
      {"{ progress = 0.75 }", "{ progress = 75 }", "14: plan[1].until.progress: ", "0 to 1.5"},
      {"{ progress = 0.75 }", "{ progress = 0 }", "14: plan[1].until: ", "above 0"},
      {"{ progress = 0.75 }", "{ progres = 0.7 }", "14: plan[1].until.progres: ", "\"progress\""},
      {"{ progress = 0.75 }", "{ attenuated = 0.7 }", "14: plan[1].until.attenuated: ", "expected fall"},
      {"{ progress = 0.75 }", "{ attenuated = 0.7 }", "14: plan[1].until.attenuated: ", "apparent"},
      {"{ progress = 0.75 }", "{ attenuation = 58 }", "14: plan[1].until.attenuation: ", "0 to 1.1"},
      {"{ progress = 0.75 }", "{ attenuation = 0 }", "14: plan[1].until: ", "above 0"},
      {"{ days = 3 }", "{ days = 3, gravity = 1.01 }", "17: plan[2].until: ", "final-gravity"},
      {"{ days = 3 }", "{ days = 0 }", "17: plan[2].until: ", "above 0"},
      {"until = { days = 3 }", "", "15: plan[2].until: ", "missing"},
      {"1.014", "1014", "20: plan[3].until.gravity: ", "1.0140"},
      {"\"final-gravity\"", "\"finished\"", "23: plan[4].until: ", "final-gravity"},
      {"[yeast]", "[yeats]", "5: yeats: ", "\"yeast\""},
      {"[[plan]]\nhold = \"17 Cel\"", "[plan]\nhold = \"17 Cel\"", "", ""},
  }));
  std::string text = kWhole;
  const std::size_t at = text.find(row.from);
  REQUIRE(at != std::string::npos);
  text.replace(at, std::string(row.from).size(), row.to);
  CAPTURE(row.from, row.to);
  const auto parsed = parse_batch(text, "BATCH.toml");
  REQUIRE_FALSE(parsed.has_value());
  CHECK_THAT(parsed.error().message, Catch::StartsWith(std::string("BATCH.toml:") + row.where));
  CHECK_THAT(parsed.error().message, Catch::Contains(row.hint));
}

TEST_CASE("no NaN or infinity passes validation") {
  BatchSpec good;
  good.name = "a";
  good.pitched = parse_rfc3339("2026-03-01T18:30:00Z").value();
  good.plan = {{Celsius{18}, UntilDays{3}}};
  REQUIRE(validate(good).has_value());
  const double bad =
      GENERATE(std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(),
               -std::numeric_limits<double>::infinity());
  const auto spoilt = [&](auto change) {
    BatchSpec batch = good;
    change(batch);
    return !validate(batch).has_value();
  };
  CHECK(spoilt([&](BatchSpec& b) { b.original_gravity = SpecificGravity::unchecked(bad); }));
  CHECK(spoilt([&](BatchSpec& b) { b.volume_l = bad; }));
  CHECK(spoilt([&](BatchSpec& b) { b.yeast.attenuation_low = bad; }));
  CHECK(spoilt([&](BatchSpec& b) { b.yeast.attenuation_high = bad; }));
  CHECK(spoilt([&](BatchSpec& b) { b.yeast.temperature_low = Celsius{bad}; }));
  CHECK(spoilt([&](BatchSpec& b) { b.yeast.temperature_high = Celsius{bad}; }));
  CHECK(spoilt([&](BatchSpec& b) { b.final_gravity.tolerance = GravityPoints{bad}; }));
  CHECK(spoilt([&](BatchSpec& b) { b.plan[0].temperature = Celsius{bad}; }));
  CHECK(spoilt([&](BatchSpec& b) { b.plan[0].until = UntilDays{bad}; }));
  CHECK(spoilt([&](BatchSpec& b) { b.plan[0].until = UntilProgress{bad}; }));
  CHECK(spoilt([&](BatchSpec& b) { b.plan[0].until = UntilGravity{SpecificGravity::unchecked(bad)}; }));
}
