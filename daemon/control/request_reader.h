#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "control/http_message.h"

namespace gyle {

// Makes requests of the bytes of one connection. Stricter than HTTP/1.1 (RFC 9112) has to be, so that no
// proxy can read the same bytes as other requests than we do:
//   lines    end with CR LF and are not folded; no NUL
//   bodies   have a Content-Length, one and a number. Bodies in chunks are refused (411), before anything of
//            them is read: so there are no chunk extensions and no trailers. Any other Transfer-Encoding is
//            501
//   bounds   headers of more than `header_bytes` are refused (431), a body of more than `body_bytes` (413)
//            before it is read. Never holds more than these two and what one call of take() brought
//   pure     no socket, no clock; throws only std::bad_alloc
//   tests    unit/control/request_reader_test.cpp, fuzz/http_requests.cpp
class RequestReader {
 public:
  enum class State {
    between,   // nothing of a request has come
    head,      // a part of its request line and headers
    body,      // all of them, and not yet the whole body
    complete,  // release() gives it
    refused,   // refusal() says why; there is no way to know where a next request would begin
  };
  struct Limits {
    std::size_t header_bytes;
    std::size_t body_bytes;
  };
  struct Received {
    HttpRequest request;
    unsigned version = 11;  // 10 for HTTP/1.0
    bool keep_alive = true;
  };
  struct Refusal {
    int status = 0;
    std::string detail;
  };

  explicit RequestReader(Limits limits) : limits_(limits) {}

  // What has come, in pieces of any size. What follows a whole request waits for its release(); after a
  // refusal it is dropped.
  State take(std::string_view bytes);
  // The request that is complete; then goes on with what came behind it, see state().
  Received release();

  State state() const { return state_; }
  const Refusal& refusal() const { return refusal_; }
  std::size_t held() const { return head_.size() + received_.request.body.size() + rest_.size(); }

 private:
  void read_head(std::string_view& bytes);
  void read_body(std::string_view& bytes);
  void parse_head();
  void refuse(int status, std::string detail);

  Limits limits_;
  State state_ = State::between;
  std::string head_;
  std::size_t line_ = 0;  // where in it its last line begins
  std::size_t body_left_ = 0;
  Received received_;
  std::string rest_;
  Refusal refusal_;
};

}  // namespace gyle
