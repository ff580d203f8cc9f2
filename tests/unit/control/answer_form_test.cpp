#include "control/answer_form.h"

#include <catch2/catch.hpp>

#include "control/content_coding.h"

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

constexpr std::size_t kAny = 1 << 30;

HttpRequest get(std::map<std::string, std::string, std::less<>> fields) {
  HttpRequest request{.method = "GET", .target = "/", .content_type = "", .body = ""};
  request.headers = std::move(fields);
  return request;
}

std::string header(const HttpResponse& answer, std::string_view name) {
  for (const auto& [key, value] : answer.headers) {
    if (key == name) return value;
  }
  return "";
}

HttpResponse sent(const HttpRequest& request, const std::string& body, int status = 200) {
  return sent_form(request, {.status = status, .body = body}, kAny);
}

}  // namespace

TEST_CASE("a tag is the beginning of the SHA-256") {
  // FIPS 180-4, the example of NIST for "abc": ba7816bf 8f01cfea 414140de 5dae2223 ...
  CHECK(entity_tag("abc") == "\"ba7816bf8f01cfea414140de5dae2223\"");
}

TEST_CASE("an answer that the client has already is not sent again") {
  const std::string tag = header(sent(get({}), "body"), "ETag");
  CHECK(tag == entity_tag("body"));
  struct Row {
    std::string field;
    int status;
  };
  const auto row = GENERATE_COPY(values<Row>({{tag, 304},
                                              {"W/" + tag, 304},
                                              {"\"a\", " + tag + " , \"b\"", 304},
                                              {"*", 304},
                                              {"\"a\"", 200},
                                              {tag.substr(1), 200},
                                              {"", 200}}));
  CAPTURE(row.field);
  const HttpResponse answer = sent(get({{"if-none-match", row.field}}), "body");
  CHECK(answer.status == row.status);
  CHECK(answer.body == (row.status == 200 ? "body" : ""));
  CHECK(header(answer, "ETag") == tag);
  CHECK(sent(get({{"if-none-match", row.field}}), "another body").status == (row.field == "*" ? 304 : 200));
}

TEST_CASE("only what was asked for and found is compared") {
  CHECK(header(sent(get({}), "x", 404), "ETag").empty());
  CHECK(sent(get({{"if-none-match", "*"}}), "x", 404).status == 404);
  HttpRequest act = get({{"if-none-match", "*"}});
  act.method = "POST";
  CHECK(sent(act, "x").status == 200);
}

TEST_CASE("long answers are compressed for clients that accept it, with a tag of their own") {
  const std::string body(1025, 'x');
  const HttpResponse packed = sent(get({{"accept-encoding", "gzip"}}), body);
  CHECK(gunzip(packed.body).value() == body);
  CHECK(header(packed, "Content-Encoding") == "gzip");
  CHECK(header(packed, "Vary") == "Accept-Encoding");
  const HttpResponse plain = sent(get({}), body);
  CHECK(plain.body == body);
  CHECK(header(plain, "Vary") == "Accept-Encoding");
  CHECK(header(plain, "ETag") != header(packed, "ETag"));
  CHECK(sent(get({{"accept-encoding", "gzip"}, {"if-none-match", header(packed, "ETag")}}), body).status ==
        304);
  CHECK(sent(get({{"accept-encoding", "gzip"}}), std::string(1024, 'x')).body.size() == 1024);
}

TEST_CASE("an answer that is compressed already, or has a tag, keeps it") {
  const HttpRequest asked = get({{"accept-encoding", "gzip"}});
  HttpResponse file{.status = 200, .body = std::string(5000, 'x')};
  file.headers = {{"Content-Encoding", "gzip"}, {"ETag", "\"own\""}};
  const HttpResponse answer = sent_form(asked, file, kAny);
  CHECK(answer.body == file.body);
  CHECK(header(answer, "ETag") == "\"own\"");
}

TEST_CASE("an answer that is too long to send is replaced by the reason") {
  const HttpResponse answer = sent_form(get({}), {.status = 200, .body = std::string(5000, 'x')}, 4999);
  CHECK(answer.status == 413);
  CHECK_THAT(answer.body, Contains("5000 bytes"));
  CHECK(sent_form(get({}), {.status = 200, .body = std::string(5000, 'x')}, 5000).status == 200);
  CHECK(sent_form(get({{"accept-encoding", "gzip"}}), {.status = 200, .body = std::string(5000, 'x')}, 500)
            .status == 200);
}
