#include "control/request_reader.h"

#include <catch2/catch.hpp>
#include <optional>

using namespace gyle;
using State = RequestReader::State;

namespace {

constexpr RequestReader::Limits kLimits{.header_bytes = 300, .body_bytes = 10};

// What `bytes` are read as, in pieces of `piece` bytes.
struct Outcome {
  std::vector<RequestReader::Received> requests;
  int refused = 0;
  State end = State::between;
};
Outcome read(std::string_view bytes, std::size_t piece, RequestReader::Limits limits = kLimits) {
  RequestReader reader(limits);
  Outcome outcome;
  for (std::size_t i = 0; i < bytes.size() && reader.state() != State::refused; i += piece) {
    reader.take(bytes.substr(i, piece));
    while (reader.state() == State::complete) outcome.requests.push_back(reader.release());
    CHECK(reader.held() <= limits.header_bytes + limits.body_bytes + piece);
  }
  outcome.end = reader.state();
  if (outcome.end == State::refused) outcome.refused = reader.refusal().status;
  return outcome;
}

}  // namespace

TEST_CASE("bytes become requests, however they are cut") {
  const std::size_t piece = GENERATE(1u, 2u, 7u, 1000u);
  CAPTURE(piece);
  const auto outcome = read(
      "POST /a?b HTTP/1.1\r\nHost: x\r\nCOOKIE: a=b\r\nContent-Type:text/plain \r\nContent-Length: "
      "4\r\ncookie: c=d\r\n"
      "X-A: 1\r\nx-a: 2\r\n\r\nbodyGET / HTTP/1.0\r\n\r\nGET /c HTTP/1.1\r\nConnection: close\r\n\r\nGET /d",
      piece);
  REQUIRE(outcome.requests.size() == 3);
  CHECK(outcome.end == State::head);
  const auto& [first, version, keep_alive] = outcome.requests[0];
  CHECK((first.method == "POST" && first.target == "/a?b" && first.content_type == "text/plain"));
  CHECK(first.body == "body");
  CHECK(first.headers.at("cookie") == "a=b; c=d");
  CHECK(first.headers.at("x-a") == "1, 2");
  CHECK((version == 11 && keep_alive));
  CHECK((outcome.requests[1].version == 10 && !outcome.requests[1].keep_alive));
  CHECK((outcome.requests[2].request.target == "/c" && !outcome.requests[2].keep_alive));
}

// RFC 9112: section 2.2 (line ends), 3.2 (Host), 5.1 and 5.2 (fields), 6.1 to 6.3 (the length of a body), 7.1
// (chunks).
TEST_CASE("bytes that two readers might take for different requests are refused") {
  struct Row {
    const char* name;
    std::string bytes;
    int status;
  };
  const auto row = GENERATE(values<Row>({
      {"chunked", "POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n", 411},
      {"chunked, shouted", "POST / HTTP/1.1\r\ntransfer-encoding:  CHUNKED \r\n\r\n", 411},
      {"chunked in HTTP/1.0", "POST / HTTP/1.0\r\nTransfer-Encoding: chunked\r\n\r\n", 411},
      {"chunked of a question", "GET / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n", 411},
      {"almost chunked", "POST / HTTP/1.1\r\nTransfer-Encoding: xchunked\r\n\r\n", 501},
      {"chunked and more", "POST / HTTP/1.1\r\nTransfer-Encoding: chunked, identity\r\n\r\n", 501},
      {"more and chunked", "POST / HTTP/1.1\r\nTransfer-Encoding: gzip, chunked\r\n\r\n", 501},
      {"identity", "POST / HTTP/1.1\r\nTransfer-Encoding: identity\r\n\r\n", 501},
      {"an empty coding", "POST / HTTP/1.1\r\nTransfer-Encoding:\r\n\r\n", 501},
      {"two codings", "POST / HTTP/1.1\r\nTransfer-Encoding: x\r\nTransfer-Encoding: chunked\r\n\r\n", 400},
      {"a length and chunks", "POST / HTTP/1.1\r\nContent-Length: 4\r\nTransfer-Encoding: chunked\r\n\r\n",
       400},
      {"chunks and a length", "POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\nContent-Length: 4\r\n\r\n",
       400},
      {"a length and another coding", "POST / HTTP/1.1\r\nContent-Length: 4\r\nTransfer-Encoding: x\r\n\r\n",
       400},
      {"two lengths", "POST / HTTP/1.1\r\nContent-Length: 4\r\nContent-Length: 5\r\n\r\n", 400},
      {"the same length twice", "POST / HTTP/1.1\r\nContent-Length: 4\r\nContent-Length: 4\r\n\r\n", 400},
      {"a list of lengths", "POST / HTTP/1.1\r\nContent-Length: 4, 4\r\n\r\n", 400},
      {"a signed length", "POST / HTTP/1.1\r\nContent-Length: +4\r\n\r\n", 400},
      {"a negative length", "POST / HTTP/1.1\r\nContent-Length: -4\r\n\r\n", 400},
      {"a hexadecimal length", "POST / HTTP/1.1\r\nContent-Length: 0x4\r\n\r\n", 400},
      {"an empty length", "POST / HTTP/1.1\r\nContent-Length:\r\n\r\n", 400},
      {"a length beyond numbers", "POST / HTTP/1.1\r\nContent-Length: 99999999999999999999\r\n\r\n", 400},
      {"a folded line", "GET / HTTP/1.1\r\nX: a\r\n b\r\n\r\n", 400},
      {"a folded coding", "POST / HTTP/1.1\r\nTransfer-Encoding:\r\n chunked\r\n\r\n", 400},
      {"bare line feeds", "GET / HTTP/1.1\nHost: x\n\n", 400},
      {"one bare line feed", "GET / HTTP/1.1\r\nX: a\nContent-Length: 3\r\n\r\n", 400},
      {"a bare carriage return", "GET / HTTP/1.1\r\nX: a\rContent-Length: 3\r\n\r\n", 400},
      {"a NUL", std::string("GET / HTTP/1.1\r\nX: a\0b\r\n\r\n", 26), 400},
      {"a space before the colon", "POST / HTTP/1.1\r\nContent-Length : 3\r\n\r\n", 400},
      {"no name", "GET / HTTP/1.1\r\n: a\r\n\r\n", 400},
      {"no colon", "GET / HTTP/1.1\r\nX\r\n\r\n", 400},
      {"two hosts", "GET / HTTP/1.1\r\nHost: a\r\nHost: b\r\n\r\n", 400},
      {"a line before it", "\r\nGET / HTTP/1.1\r\n\r\n", 400},
      {"a space before it", " GET / HTTP/1.1\r\n\r\n", 400},
      {"a space in the target", "GET /a b HTTP/1.1\r\n\r\n", 400},
      {"another version", "GET / HTTP/2.0\r\n\r\n", 400},
      {"no version", "GET /\r\n\r\n", 400},
      {"TLS", std::string("\x16\x03\x01\x02\x00\x01", 6), 400},
      {"a body too long", "POST / HTTP/1.1\r\nContent-Length: 11\r\n\r\n", 413},
      {"headers too long", "GET / HTTP/1.1\r\nX: " + std::string(300, 'x'), 431},
      {"a target too long", "GET /" + std::string(300, 'x'), 431},
  }));
  const std::size_t piece = GENERATE(1u, 1000u);
  CAPTURE(row.name, piece);
  const auto outcome = read(row.bytes + "GET /smuggled HTTP/1.1\r\n\r\n", piece);
  CHECK(outcome.refused == row.status);
  CHECK(outcome.requests.empty());
}

TEST_CASE("headers and a body of exactly the limits are taken, and none longer") {
  const std::string begin = "POST / HTTP/1.1\r\nContent-Length: 10\r\nX: ";
  const std::string end = "\r\n\r\n0123456789";
  const std::size_t room = kLimits.header_bytes - begin.size() - 4;
  CHECK(read(begin + std::string(room, 'x') + end, 1000).requests.size() == 1);
  CHECK(read(begin + std::string(room + 1, 'x') + end, 1000).refused == 431);
}

TEST_CASE("a field that the library would throw at is refused at any limit") {
  const RequestReader::Limits vast{.header_bytes = 10'000'000, .body_bytes = 10};
  for (const std::size_t length : {50'000u, 65'533u, 65'534u, 70'000u, 1'000'000u}) {
    const auto outcome = read("GET / HTTP/1.1\r\nX: " + std::string(length, 'x') + "\r\n\r\n", 8192, vast);
    CHECK((outcome.requests.size() == 1) == (length == 50'000u));
    CHECK((outcome.refused == 431) == (length != 50'000u));
  }
}
