#include "control/content_coding.h"

#include <catch2/catch.hpp>

using namespace gyle;

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
