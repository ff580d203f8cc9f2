#include "control/openapi.h"

#include <catch2/catch.hpp>
#include <nlohmann/json.hpp>
#include <set>

#include "base/text.h"
#include "control/routes.h"
#include "fake_cellar.h"
#include "support/json_schema.h"

using namespace gyle;
using namespace gyle::test;
using nlohmann::json;

namespace {

struct Example {
  const char* method;
  const char* path;  // of the document
  const char* target;
  const char* body = "";
  const char* content_type = "";
};

// At least one for every operation; together they show everything that the document describes.
constexpr Example kExamples[] = {
    {"GET", "/v1/status", "/v1/status"},
    {"GET", "/v1/cellar", "/v1/cellar"},
    {"GET", "/v1/batches", "/v1/batches?limit=2"},
    {"GET", "/v1/batches", "/v1/batches"},
    {"POST", "/v1/batches", "/v1/batches?vessel=right",
     "name = \"Amber\"\npitched = 2026-03-01T18:30:00Z\nvolume = \"20 L\"\n", "application/toml"},
    {"GET", "/v1/batches/{batch}", "/v1/batches/left"},
    {"GET", "/v1/batches/{batch}", "/v1/batches/attic"},
    {"POST", "/v1/batches/{batch}/package", "/v1/batches/left/package?time=2026-03-03T10:00:00Z"},
    {"GET", "/v1/batches/{batch}/curve", "/v1/batches/left/curve"},
    {"GET", "/v1/batches/{batch}/series", "/v1/batches/left/series"},
    {"GET", "/v1/batches/{batch}/series", "/v1/batches/Gone/series?points=50&from=2026-03-02T00:00:00Z"},
    {"GET", "/v1/batches/{batch}/alerts", "/v1/batches/left/alerts"},
    {"GET", "/v1/batches/{batch}/alerts", "/v1/batches/left/alerts?limit=1"},
    {"GET", "/v1/batches/{batch}/notes", "/v1/batches/left/notes?limit=1"},
    {"POST", "/v1/batches/{batch}/notes", "/v1/batches/left/notes", "Dry hops.", "text/plain"},
    {"GET", "/v1/batches/{batch}/additions", "/v1/batches/Gone/additions"},
    {"POST", "/v1/batches/{batch}/additions",
     "/v1/batches/Gone/additions?what=fruit&amount=2+kg&sugar_share=10+%25&time=2026-03-02T10:00:00Z"},
    {"POST", "/v1/batches/{batch}/additions/{addition}", "/v1/batches/Gone/additions/1?take_back=yes"},
    {"GET", "/v1/batches/{batch}/fills", "/v1/batches/Gone/fills"},
    {"POST", "/v1/batches/{batch}/fills",
     "/v1/batches/Gone/fills?container=bottles&count=22&each=330+mL&gas=priming&storage=18+C"},
    {"POST", "/v1/batches/{batch}/fills/{fill}", "/v1/batches/Gone/fills/1?take_back=yes"},
    {"GET", "/v1/batches/{batch}/set-point", "/v1/batches/left/set-point"},
    {"POST", "/v1/batches/{batch}/set-point/confirm", "/v1/batches/left/set-point/confirm?step=1"},
    {"GET", "/v1/set-points", "/v1/set-points"},
    {"GET", "/v1/batches/{batch}/readings.csv", "/v1/batches/left/readings.csv?limit=1"},
    {"GET", "/v1/batches/{batch}/curve.csv", "/v1/batches/left/curve.csv"},
    {"GET", "/v1/batches/{batch}/alerts.csv", "/v1/batches/left/alerts.csv"},
    {"GET", "/v1/batches/{batch}/notes.csv", "/v1/batches/left/notes.csv?limit=1"},
    {"GET", "/v1/batches/{batch}/report", "/v1/batches/left/report?with=3&align=start"},
    {"GET", "/v1/batches/{batch}/explanation", "/v1/batches/left/explanation"},
    {"GET", "/v1/batches/{batch}/forecast",
     "/v1/batches/left/forecast?hold=20+Cel&ready_by=2026-03-14T18:00:00Z"},
    {"GET", "/v1/batches/{batch}/packaging",
     "/v1/batches/left/packaging?override=true&kind=keg&serving=4+Cel&storage=20+Cel&volumes=2.2"},
    {"GET", "/v1/batches/{batch}/packaging",
     "/v1/batches/Gone/packaging?warmest=20+Cel&sugar=glucose&volume=19+L&bottle=330+mL&final_gravity=1.012&"
     "original_gravity=12+P"},
    {"POST", "/v1/batches/{batch}/samples", "/v1/batches/left/samples?gravity=1.028"},
    {"GET", "/v1/batches/{batch}/samples", "/v1/batches/left/samples?limit=1"},
    {"GET", "/v1/sensors/{sensor}/calibration", "/v1/sensors/tube/calibration"},
    {"POST", "/v1/sensors/{sensor}/calibration", "/v1/sensors/tube/calibration?samples=left&dry_run=true",
     "20 = 1.000\n40 = 10 P\n", "text/plain"},
    {"POST", "/v1/sensors/{sensor}/calibration", "/v1/sensors/tube/calibration", "20 = 1.000\n40 = 10 P\n",
     "text/plain"},
    {"POST", "/v1/sensors/{sensor}/calibration/set-aside", "/v1/sensors/tube/calibration/set-aside"},
    {"GET", "/v1/batches/{batch}/amendments", "/v1/batches/left/amendments"},
    {"GET", "/v1/batches/{batch}/description", "/v1/batches/left/description"},
    {"POST", "/v1/batches/{batch}/description", "/v1/batches/left/description",
     "name = \"Amber\"\npitched = 2026-03-01T18:30:00Z\n", "application/toml"},
    {"POST", "/v1/batches/{batch}/samples/{sample}", "/v1/batches/left/samples/812?gravity=1.028"},
    {"POST", "/v1/batches/{batch}/samples/{sample}", "/v1/batches/left/samples/812?take_back=yes"},
    {"POST", "/v1/batches/{batch}/notes/{note}", "/v1/batches/left/notes/1", "Dry hops.", "text/plain"},
    {"POST", "/v1/batches/{batch}/packaged", "/v1/batches/Gone/packaged?time=2026-02-20T09:00:00Z"},
    {"POST", "/v1/batches/{batch}/undo", "/v1/batches/left/undo"},
    {"POST", "/v1/batches/{batch}/undo/{amendment}", "/v1/batches/left/undo/4"},
    {"GET", "/v1/alerts", "/v1/alerts?limit=3"},
    {"POST", "/v1/alerts/{alert}/acknowledge", "/v1/alerts/12/acknowledge"},
    {"POST", "/v1/alerts/{alert}/snooze", "/v1/alerts/12/snooze?until=2026-12-01T00:00:00Z"},
    {"GET", "/v1/alerts/{alert}/fate", "/v1/alerts/14/fate?channel=phone"},
    {"GET", "/v1/check", "/v1/check"},
    {"GET", "/v1/channels", "/v1/channels"},
    {"POST", "/v1/channels/{channel}/test", "/v1/channels/phone/test"},
    {"POST", "/v1/channels/{channel}/retry", "/v1/channels/phone/retry"},
    {"GET", "/v1/sensors", "/v1/sensors"},
    {"GET", "/v1/sensors", "/v1/sensors?limit=1"},
    {"DELETE", "/v1/sensors/{sensor}", "/v1/sensors/tube"},
    {"GET", "/v1/batches",
     "/v1/batches?name=amber&yeast=&since=2026-01-01T00:00:00Z&until=2027-01-01T00:00:00Z"},
    {"POST", "/v1/imports/{import}/readings", "/v1/imports/import-1/readings",
     "time,sensor,quantity,value\n2026-03-01T20:00:00Z,x,gravity,1.048\n", "text/csv"},
    {"POST", "/v1/imports/{import}/batch",
     "/v1/imports/import-1/batch?vessel=left&packaged=2026-03-03T10:00:00Z",
     "name = \"Amber\"\npitched = 2026-03-01T18:30:00Z\n", "application/toml"},
    {"GET", "/v1/yeasts", "/v1/yeasts"},
    {"GET", "/v1/yeasts/{yeast}", "/v1/yeasts/%20house%20ALE"},
    {"GET", "/v1/refusals", "/v1/refusals"},
    {"POST", "/v1/sources/proposal", "/v1/sources/proposal?topic=cellar/left",
     "{\"gravity\": 1.048, \"temp_c\": 18.2}", "text/plain"},
    {"POST", "/v1/recipes/batch", "/v1/recipes/batch",
     "name = \"Amber\"\nvolume = \"12 L\"\n[[grain]]\nname = \"pale malt\"\nmass = \"2.6 kg\"\n"
     "extract = \"80 %\"\n[[plan]]\nhold = \"17 C\"\nuntil = { gravity = 1.014 }\n",
     "application/toml"},
    {"GET", "/v1/display", "/v1/display"},
    {"GET", "/v1/openapi.json", "/v1/openapi.json"},
};

HttpResponse ask(const Example& example) {
  FakeCellar cellar;
  cellar.heard = true;
  ReportedAlert marked = FakeCellar::step_due(13);
  marked.decision.sensor = "hydrometer";
  marked.mark.acknowledged = marked.mark.snoozed_until = marked.decision.time;
  cellar.reported.push_back(marked);
  cellar.written = {{1, at("2026-03-02T10:00:00Z"), "Yeast rinsed."},
                    {2, at("2026-03-02T11:00:00Z"), "Cold."}};
  const Time then = at("2026-03-02T10:00:00Z");
  cellar.amended = {{1,
                     then,
                     AmendedThing::sample,
                     41,
                     HandSample{then, SpecificGravity::unchecked(1.03)},
                     NotThere{},
                     {},
                     true},
                    {2, then, AmendedThing::note, 1, WrittenNote{then, "Yeast."},
                     WrittenNote{then, "Yeast rinsed."}, 1, false},
                    {3, then, AmendedThing::packaged, 0, then, NotThere{}, {}, false}};
  return respond({example.method, example.target, example.content_type, example.body}, cellar, {});
}

json document() { return json::parse(openapi_document()); }

// All properties that a schema describes, as SchemaCheck names them.
void list_properties(const json& schema, const std::string& name, std::set<std::string>& all) {
  if (schema.contains("items")) list_properties(schema["items"], name, all);
  for (const json& one : schema.value("oneOf", json::array())) list_properties(one, name, all);
  const json properties = schema.value("properties", json::object());
  for (const auto& [key, inner] : properties.items()) {
    all.insert(name + "/" + key);
    list_properties(inner, name + "/" + key, all);
  }
}

}  // namespace

TEST_CASE("the document describes every address, and no other") {
  const json api = document();
  CHECK(api["openapi"] == "3.1.0");
  std::set<std::string> described;
  for (const auto& [path, operations] : api["paths"].items()) {
    for (const auto& [method, operation] : operations.items()) described.insert(method + " " + path);
  }
  std::set<std::string> answered;
  for (const Route& route : routes()) answered.insert(lower_case(route.method) + " " + route.path);
  CHECK(described == answered);
  std::set<std::string> shown;
  for (const Example& example : kExamples) shown.insert(lower_case(example.method) + " " + example.path);
  CHECK(shown == answered);
}

TEST_CASE("every answer is as the document says, and everything that it describes is seen") {
  const json api = document();
  SchemaCheck schemas(api);
  for (const Example& example : kExamples) {
    CAPTURE(example.method, example.target);
    const HttpResponse response = ask(example);
    const json& operation = api["paths"][example.path][lower_case(example.method)];
    const std::string status = std::to_string(response.status);
    REQUIRE(operation["responses"].contains(status));
    const std::string type = response.content_type.substr(0, response.content_type.find(';'));
    const json& documented = operation["responses"][status];
    REQUIRE(documented["content"].contains(type));
    const json& schema = documented["content"][type]["schema"];
    const json body = type == "application/json" ? json::parse(response.body) : json(response.body);
    CHECK(schemas.check(schema, body) == std::vector<std::string>{});
    for (const auto& [name, value] : response.headers) CHECK(documented["headers"].contains(name));
    if (example.body[0] != '\0') CHECK(operation["requestBody"]["content"].contains(example.content_type));
    // Every part of the query is described.
    std::set<std::string> parameters;
    for (const json& parameter : operation.value("parameters", json::array())) {
      parameters.insert(schemas.resolve(parameter)["name"].get<std::string>());
    }
    const auto target = parse_request_target(example.target);
    for (const auto& [name, value] : target.value().query) CHECK(parameters.count(name) == 1);
  }
  const HttpResponse wrong = ask({"GET", "", "/v1/batches/nowhere"});
  CHECK(schemas.check(api["components"]["responses"]["Problem"]["content"][wrong.content_type]["schema"],
                      json::parse(wrong.body)) == std::vector<std::string>{});

  std::set<std::string> described;
  for (const auto& [name, schema] : api["components"]["schemas"].items()) {
    list_properties(schema, name, described);
  }
  std::set<std::string> unseen;
  std::set_difference(described.begin(), described.end(), schemas.seen().begin(), schemas.seen().end(),
                      std::inserter(unseen, unseen.begin()));
  CHECK(unseen == std::set<std::string>{});
}
