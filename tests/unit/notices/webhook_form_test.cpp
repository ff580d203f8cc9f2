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
  WebhookSettings webhook = settings();
  std::string expected;
  SECTION("address") {
    webhook.url = "alerts.example.org";
    expected = "expected http:// or https://HOST";
  }
  SECTION("header name") {
    webhook.headers = {"Ti tle: x"};
    expected = "\"Ti tle\" is not a valid header name";
  }
  SECTION("a reserved header") {
    webhook.headers = {"content-LENGTH: 5"};
    expected = "content-LENGTH is set automatically";
  }
  SECTION("the media type of the body") {
    webhook.headers = {"Content-Type: text/x"};
    expected = "use content_type";
  }
  SECTION("two tokens") {
    webhook.headers = {"Authorization: x"};
    webhook.token_file = "token";
    expected = "the token sets the header Authorization";
  }
  SECTION("a header with a line break") {
    webhook.headers = {"X: a\r\nY: b"};
    expected = "control characters";
  }
  SECTION("an unknown placeholder") {
    webhook.headers = {"X: {nothing}"};
    expected = "\"{nothing}\" is unknown";
  }
  SECTION("a body that is not JSON") {
    webhook.body = R"({"message": {text}})";
    webhook.content_type = "application/json";
    expected = "body is not JSON";
  }
  const auto form = WebhookForm::parse(webhook);
  REQUIRE_FALSE(form.has_value());
  CHECK_THAT(form.error().message, Catch::Contains(expected));
}
