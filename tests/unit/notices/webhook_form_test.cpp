#include "notices/webhook_form.h"

#include <algorithm>
#include <catch2/catch.hpp>

#include "support/made_up_notice.h"

using namespace gyle;

namespace {

WebhookSettings settings() {
  WebhookSettings webhook;
  webhook.url = "https://alerts.example.org/hook";
  return webhook;
}

bool has(const std::vector<std::string>& lines, const std::string& line) {
  return std::find(lines.begin(), lines.end(), line) != lines.end();
}

}  // namespace

TEST_CASE("without a configured body a webhook sends a CloudEvent") {
  const WebhookForm form = WebhookForm::parse(settings()).value();
  const auto headers = form.headers(test::made_up_notice());
  CHECK(has(headers, "Content-Type: application/cloudevents+json; charset=utf-8"));
  CHECK(has(headers, "Idempotency-Key: 7-12-raised"));
  CHECK(form.body(test::made_up_notice()).find("\"specversion\":\"1.0\"") != std::string::npos);
}

TEST_CASE("body and headers are as configured") {
  WebhookSettings webhook = settings();
  webhook.headers = {"Subject: {title}", "X-Sensor: {sensor}", "Topic:beer,{kind}"};
  webhook.body = "{text}";
  const WebhookForm form = WebhookForm::parse(webhook).value();
  Notice notice = test::made_up_notice();
  notice.title = "two\r\nlines: x";
  const auto headers = form.headers(notice);
  CHECK(has(headers, "Content-Type: text/plain; charset=utf-8"));
  CHECK(has(headers, "Subject: two  lines: x"));
  CHECK(has(headers, "Topic: beer,stuck"));
  CHECK(headers.size() == 4);  // a header without a value is not sent
  CHECK(form.body(notice) == notice.text);
}

TEST_CASE("invalid settings are errors") {
  struct Row {
    const char* name;
    void (*spoil)(WebhookSettings&);
    const char* expected;
  };
  const auto row = GENERATE(values<Row>({
      {"address", [](WebhookSettings& w) { w.url = "alerts.example.org"; },
       "expected http:// or https://HOST"},
      {"header name", [](WebhookSettings& w) { w.headers = {"Ti tle: x"}; },
       "\"Ti tle\" is not a valid header name"},
      {"a reserved header", [](WebhookSettings& w) { w.headers = {"content-LENGTH: 5"}; },
       "content-LENGTH is set automatically"},
      {"the media type of the body", [](WebhookSettings& w) { w.headers = {"Content-Type: text/x"}; },
       "use content_type"},
      {"two tokens",
       [](WebhookSettings& w) {
         w.headers = {"Authorization: x"};
         w.token_file = "token";
       },
       "the token sets the header Authorization"},
      {"a header with a line break", [](WebhookSettings& w) { w.headers = {"X: a\r\nY: b"}; },
       "control characters"},
      {"an unknown placeholder", [](WebhookSettings& w) { w.headers = {"X: {nothing}"}; },
       "\"{nothing}\" is unknown"},
      {"a body that is not JSON",
       [](WebhookSettings& w) {
         w.body = R"({"message": {text}})";
         w.content_type = "application/json";
       },
       "body is not JSON"},
  }));
  CAPTURE(row.name);
  WebhookSettings webhook = settings();
  row.spoil(webhook);
  const auto form = WebhookForm::parse(webhook);
  REQUIRE_FALSE(form.has_value());
  CHECK_THAT(form.error().message, Catch::Contains(row.expected));
}
