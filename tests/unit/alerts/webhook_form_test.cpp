#include "alerts/webhook_form.h"

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

TEST_CASE("without a body of the brewer's own a webhook sends a CloudEvent") {
  const WebhookForm form = WebhookForm::parse(settings()).value();
  const auto headers = form.headers(test::made_up_notice());
  CHECK(has(headers, "Content-Type: application/cloudevents+json; charset=utf-8"));
  CHECK(has(headers, "Idempotency-Key: 7-12-raised"));
  CHECK(form.body(test::made_up_notice()).find("\"specversion\":\"1.0\"") != std::string::npos);
}

TEST_CASE("body and headers of the brewer's own") {
  WebhookSettings webhook = settings();
  webhook.headers = {"Title: {title}", "X-Sensor: {sensor}", "Tags:beer,{kind}"};
  webhook.body = "{text}";
  const WebhookForm form = WebhookForm::parse(webhook).value();
  Notice notice = test::made_up_notice();
  notice.title = "two\r\nlines: x";
  const auto headers = form.headers(notice);
  CHECK(has(headers, "Content-Type: text/plain; charset=utf-8"));
  CHECK(has(headers, "Title: two  lines: x"));
  CHECK(has(headers, "Tags: beer,stuck"));
  CHECK(headers.size() == 4);  // a header without a value is not sent
  CHECK(form.body(notice) == notice.text);
}

TEST_CASE("settings that cannot work are found when they are read") {
  WebhookSettings webhook = settings();
  std::string expected;
  SECTION("address") {
    webhook.url = "alerts.example.org";
    expected = "expected http:// or https://HOST";
  }
  SECTION("name of a header") {
    webhook.headers = {"Ti tle: x"};
    expected = "\"Ti tle\" is not the name of a header";
  }
  SECTION("a header of the request itself") {
    webhook.headers = {"content-LENGTH: 5"};
    expected = "content-LENGTH is set by the request itself";
  }
  SECTION("the type of the body") {
    webhook.headers = {"Content-Type: text/x"};
    expected = "use content_type";
  }
  SECTION("two tokens") {
    webhook.headers = {"Authorization: x"};
    webhook.token_file = "token";
    expected = "the header Authorization is set by the token";
  }
  SECTION("a header of two lines") {
    webhook.headers = {"X: a\r\nY: b"};
    expected = "control characters";
  }
  SECTION("a name between braces") {
    webhook.headers = {"X: {nothing}"};
    expected = "\"{nothing}\" is not known";
  }
  SECTION("a body that is no JSON") {
    webhook.body = R"({"message": {text}})";
    webhook.content_type = "application/json";
    expected = "body is not JSON";
  }
  const auto form = WebhookForm::parse(webhook);
  REQUIRE_FALSE(form.has_value());
  CHECK_THAT(form.error().message, Catch::Contains(expected));
}
