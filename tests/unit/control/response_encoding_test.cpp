#include "control/response_encoding.h"

#include <catch2/catch.hpp>

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
  return encoded_response(request, {.status = status, .body = body}, kAny);
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
  const HttpResponse answer = encoded_response(asked, file, kAny);
  CHECK(answer.body == file.body);
  CHECK(header(answer, "ETag") == "\"own\"");
}

TEST_CASE("an answer that is too long to send is replaced by the reason") {
  const HttpResponse answer =
      encoded_response(get({}), {.status = 200, .body = std::string(5000, 'x')}, 4999);
  CHECK(answer.status == 413);
  CHECK_THAT(answer.body, Contains("5000 bytes"));
  CHECK(encoded_response(get({}), {.status = 200, .body = std::string(5000, 'x')}, 5000).status == 200);
  CHECK(encoded_response(get({{"accept-encoding", "gzip"}}), {.status = 200, .body = std::string(5000, 'x')},
                         500)
            .status == 200);
}

TEST_CASE("whether gzip is accepted, as RFC 9110 section 12.5.3 has it") {
  struct Row {
    const char* field;
    bool accepts;
  };
  const auto row = GENERATE(values<Row>({{"", false},
                                         {"gzip", true},
                                         {"compress, gzip", true},
                                         {"compress;q=0.5, gzip;q=1.0", true},
                                         {"gzip;q=1.0, identity; q=0.5, *;q=0", true},
                                         {"*", true},
                                         {"GZIP", true},
                                         {"x-gzip", true},
                                         {" gzip ; q=0.001", true},
                                         {"gzip;q=0", false},
                                         {"gzip;q=0.000", false},
                                         {"gzip; Q=0", false},
                                         {"*;q=0", false},
                                         {"*, gzip;q=0", false},
                                         {"gzip;q=0, *", false},
                                         {"br, deflate", false},
                                         {"gzipped", false},
                                         {",,;;,", false}}));
  CAPTURE(row.field);
  CHECK(accepts_gzip(row.field) == row.accepts);
}

TEST_CASE("compressed bytes come back unchanged") {
  for (const std::size_t size : {0U, 1U, 1000U, 65536U, 300000U}) {
    std::string text;
    for (std::size_t i = 0; i < size; ++i) text += static_cast<char>(i * i % 251);
    const std::string packed = gzip(text);
    CHECK(packed.substr(0, 2) == "\x1f\x8b");  // RFC 1952, 2.3.1
    CHECK(packed == gzip(text));
    CHECK(gunzip(packed).value() == text);
  }
}

TEST_CASE("a stream written by gzip(1) is read, other bytes are refused") {
  // printf hello | gzip -n9 | xxd -i
  const unsigned char hello[] = {0x1f, 0x8b, 0x08, 0x00, 0x00, 0x00, 0x00, 0x00, 0x02, 0x03, 0xcb, 0x48, 0xcd,
                                 0xc9, 0xc9, 0x07, 0x00, 0x86, 0xa6, 0x10, 0x36, 0x05, 0x00, 0x00, 0x00};
  const std::string packed(reinterpret_cast<const char*>(hello), sizeof(hello));
  CHECK(gunzip(packed).value() == "hello");
  for (std::size_t cut = 0; cut < packed.size(); ++cut)
    CHECK_FALSE(gunzip(packed.substr(0, cut)).has_value());
  std::string spoilt = packed;
  spoilt[19] ^= 1;  // of the check sum
  CHECK_FALSE(gunzip(spoilt).has_value());
  CHECK_FALSE(gunzip(gzip(std::string(200000, 'x')), 100000).has_value());
}
