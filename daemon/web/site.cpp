#include "web/site.h"

#include <algorithm>

#include "control/json_answer.h"
#include "control/response_encoding.h"

namespace gyle {
namespace {

HttpResponse file(const Asset& asset, const HttpRequest& request) {
  HttpResponse answer{.content_type = std::string(asset.content_type), .body = ""};
  // Its name has the hash of what it is.
  if (asset.path.starts_with("/page/")) {
    answer.headers.emplace_back("Cache-Control", "public, max-age=31536000, immutable");
  }
  const auto accepted = request.headers.find("accept-encoding");
  if (accepted != request.headers.end() && accepts_gzip(accepted->second)) {
    answer.body = asset.gzip;
    // Other bytes, another strong tag.
    std::string tag(asset.etag);
    tag.insert(tag.size() - 1, "-gzip");
    answer.headers.emplace_back("Content-Encoding", "gzip");
    answer.headers.emplace_back("ETag", std::move(tag));
    return answer;
  }
  auto plain = gunzip(asset.gzip);
  if (!plain) return problem(plain.error());
  answer.body = std::move(plain).value();
  answer.headers.emplace_back("ETag", std::string(asset.etag));
  return answer;
}

}  // namespace

Site::Site(Access access, Rooms rooms, const Clock& clock)
    : access_(std::move(access)), rooms_(std::move(rooms)), clock_(clock) {}

// For a person the page, which says so; for a program a problem.
HttpResponse Site::nowhere(const HttpRequest& request) const {
  const auto accepts = request.headers.find("accept");
  const auto page = std::find_if(rooms_.assets.begin(), rooms_.assets.end(),
                                 [](const Asset& candidate) { return candidate.path == "/"; });
  if (request.method != "GET" || page == rooms_.assets.end() || accepts == request.headers.end() ||
      accepts->second.find("text/html") == std::string::npos) {
    return problem(404, "there is no page at this address");
  }
  HttpResponse answer = file(*page, request);
  answer.status = 404;
  return answer;
}

HttpResponse Site::answer(HttpRequest request) {
  Access::Verdict verdict = access_.judge(request, clock_.now());
  if (verdict.refusal) return std::move(*verdict.refusal);
  request.signed_in = verdict.signed_in;
  request.read_only = access_.read_only();

  const std::string path = request.target.substr(0, request.target.find('?'));
  if (path == "/session") return access_.session(request, verdict, clock_.now());
  if (path.starts_with("/v1/")) return rooms_.control(request);

  const auto asset = std::find_if(rooms_.assets.begin(), rooms_.assets.end(),
                                  [&path](const Asset& candidate) { return candidate.path == path; });
  const bool calendar = path == "/calendar.ics" && rooms_.calendar;
  const bool metrics = path == "/metrics" && rooms_.metrics;
  const bool vessels = path == "/vessels" && rooms_.vessels;
  if (asset == rooms_.assets.end() && !calendar && !metrics && !vessels) return nowhere(request);
  if (request.method != "GET") return wrong_method("GET, HEAD");
  if (calendar) return rooms_.calendar();
  if (metrics) return rooms_.metrics();
  if (vessels) return rooms_.vessels();
  return file(*asset, request);
}

}  // namespace gyle
