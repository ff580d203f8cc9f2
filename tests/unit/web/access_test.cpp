#include "web/access.h"

#include <catch2/catch.hpp>

using namespace gyle;
using Catch::Matchers::Contains;

namespace {

const std::string kToken = "a secret of the brewer's own";
const std::string kOther = "a secret of somebody else's!";
constexpr Time kNow = Time(days(20000));

using Fields = std::map<std::string, std::string, std::less<>>;

HttpRequest request(std::string method, std::string target, Fields fields = {},
                    std::string peer = "127.0.0.1") {
  fields.try_emplace("host", "127.0.0.1:8480");
  HttpRequest made{.method = std::move(method), .target = std::move(target), .content_type = "", .body = ""};
  made.headers = std::move(fields);
  made.peer = std::move(peer);
  const auto type = made.headers.find("content-type");
  if (type != made.headers.end()) made.content_type = type->second;
  return made;
}

// With sessions named session-1, session-2, ...
Access made(std::string token = kToken, std::string address = "127.0.0.1",
            std::vector<std::string> hosts = {}) {
  return Access({std::move(token), std::move(address), std::move(hosts)},
                [n = 0]() mutable { return "session-" + std::to_string(++n); });
}

// 0 when the request may pass.
int refusal(Access& access, const HttpRequest& asked, Time now = kNow) {
  const auto verdict = access.judge(asked, now);
  return verdict.refusal ? verdict.refusal->status : 0;
}

HttpResponse sign_in(Access& access, const std::string& token, const std::string& peer = "127.0.0.1",
                     Time now = kNow) {
  HttpRequest asked = request("POST", "/session", {{"content-type", "application/json"}}, peer);
  asked.body = "{\"token\":\"" + token + "\"}";
  const auto verdict = access.judge(asked, now);
  return verdict.refusal ? *verdict.refusal : access.session(asked, verdict, now);
}

std::string header(const HttpResponse& answer, std::string_view name) {
  for (const auto& [key, value] : answer.headers) {
    if (key == name) return value;
  }
  return "";
}

const Fields kBearer{{"authorization", "Bearer " + kToken}};
// base64 of "brewer:a secret of the brewer's own", by coreutils' base64
const std::string kBasic = "Basic YnJld2VyOmEgc2VjcmV0IG9mIHRoZSBicmV3ZXIncyBvd24=";

Fields with(Fields fields, const Fields& more) {
  fields.insert(more.begin(), more.end());
  return fields;
}

}  // namespace

TEST_CASE("the names that a daemon listening on loopback answers to") {
  Access access = made(kToken, "127.0.0.1", {"cellar.local"});
  struct Row {
    const char* host;
    bool ours;
  };
  const auto row = GENERATE(values<Row>({{"127.0.0.1:8480", true},
                                         {"127.0.0.1", true},
                                         {"127.9.9.9:1", true},
                                         {"localhost:8480", true},
                                         {"LOCALHOST", true},
                                         {"localhost.:8480", true},
                                         {"[::1]:8480", true},
                                         {"[::1]", true},
                                         {"cellar.local", true},
                                         {"Cellar.Local:443", true},
                                         {"", false},
                                         {"evil.example", false},
                                         {"evil.example:8480", false},
                                         {"127.0.0.1.evil.example", false},
                                         {"localhost.evil.example", false},
                                         {"evil.cellar.local", false},
                                         {"cellar.local.evil.example", false},
                                         {"192.168.1.7:8480", false},
                                         {"[2001:db8::1]:8480", false},
                                         {"127.0.0.1, evil.example", false},
                                         {"localhost:8480:8480", false},
                                         {"localhost:http", false},
                                         {"user@localhost", false},
                                         {"[::1", false},
                                         {"local host", false},
                                         {"127.1", false},
                                         {"2130706433", false}}));
  CAPTURE(row.host);
  // Even the page's own files: a foreign name must not become an origin that this daemon serves.
  for (const char* path : {"/", "/page/app.js", "/v1/status", "/session"}) {
    CHECK((refusal(access, request("GET", path, {{"host", row.host}})) != 421) == row.ours);
  }
}

TEST_CASE(
    "a daemon on the network answers to numbers, which no name server can make point at it, not to foreign "
    "names") {
  Access access = made(kToken, "0.0.0.0", {"cellar.local"});
  CHECK(refusal(access, request("GET", "/", {{"host", "192.168.1.7:8480"}}, "192.168.1.20")) == 0);
  CHECK(refusal(access, request("GET", "/", {{"host", "[fd00::7]:8480"}}, "fd00::20")) == 0);
  CHECK(refusal(access, request("GET", "/", {{"host", "cellar.local:8480"}}, "192.168.1.20")) == 0);
  CHECK(refusal(access, request("GET", "/", {{"host", "evil.example:8480"}}, "192.168.1.20")) == 421);
  HttpRequest nameless = request("GET", "/");
  nameless.headers.erase("host");
  CHECK(refusal(access, nameless) == 421);
}

TEST_CASE("who may read without a secret") {
  struct Row {
    const char* name;
    std::string target;
    Fields fields;
    std::string peer;
    int status;
  };
  const auto row = GENERATE(values<Row>({
      {"the machine itself", "/v1/status", {}, "127.0.0.1", 0},
      {"the machine itself, IPv6", "/v1/status", {{"host", "[::1]:8480"}}, "::1", 0},
      {"by its name", "/v1/status", {{"host", "localhost:8480"}}, "127.0.0.1", 0},
      {"its feeds", "/calendar.ics", {}, "127.0.0.1", 0},
      {"its metrics", "/metrics", {}, "127.0.0.1", 0},
      {"another machine", "/v1/status", {}, "192.168.1.20", 401},
      {"another machine's calendar", "/calendar.ics", {}, "192.168.1.20", 401},
      {"another machine with a question", "/v1/status?x=/page/", {}, "192.168.1.20", 401},
      {"another machine's page holds nothing", "/", {}, "192.168.1.20", 0},
      {"another machine's files of the page", "/page/app.js", {}, "192.168.1.20", 0},
      {"whether it is signed in", "/session", {}, "192.168.1.20", 0},
      {"no address that begins like loopback", "/v1/status", {}, "127.evil", 401},
      {"no address at all", "/v1/status", {}, "", 401},
      {"a proxy that says so", "/v1/status", {{"x-forwarded-for", "192.0.2.7"}}, "127.0.0.1", 401},
      {"a proxy that says so by the standard",
       "/v1/status",
       {{"forwarded", "for=192.0.2.7"}},
       "127.0.0.1",
       401},
      {"a proxy that says another name", "/v1/status", {{"x-forwarded-host", "cellar"}}, "127.0.0.1", 401},
      {"a proxy under its own name", "/v1/status", {{"host", "cellar.local"}}, "127.0.0.1", 401},
  }));
  CAPTURE(row.name);
  Access access = made(kToken, GENERATE("127.0.0.1", "0.0.0.0"), {"cellar.local"});
  CHECK(refusal(access, request("GET", row.target, row.fields, row.peer)) == row.status);
}

TEST_CASE("the token opens what the machine's own address does not, in the header that a program sends") {
  struct Row {
    const char* name;
    std::string method;
    std::string target;
    std::string authorization;
    int status;
  };
  const auto row = GENERATE(values<Row>({
      {"the token", "GET", "/v1/status", "Bearer " + kToken, 0},
      {"the scheme in other letters", "GET", "/v1/status", "bearer  " + kToken, 0},
      {"an act", "POST", "/v1/batches/1/package", "Bearer " + kToken, 0},
      {"another token", "GET", "/v1/status", "Bearer " + kOther, 401},
      {"a part of it", "GET", "/v1/status", "Bearer " + kToken.substr(0, 10), 401},
      {"more than it", "GET", "/v1/status", "Bearer " + kToken + "x", 401},
      {"none", "GET", "/v1/status", "Bearer ", 401},
      {"no scheme", "GET", "/v1/status", kToken, 401},
      {"a feed by password", "GET", "/calendar.ics", kBasic, 0},
      {"metrics by password", "GET", "/metrics", kBasic, 0},
      {"a feed by a wrong password", "GET", "/calendar.ics", "Basic YnJld2VyOndyb25n", 401},
      {"a feed by what is no base64", "GET", "/calendar.ics", "Basic ?", 401},
      {"a feed by what is no base64 either", "GET", "/calendar.ics", "Basic ====", 401},
      {"no act by password", "POST", "/v1/batches/1/package", kBasic, 401},
      {"nor anything but a feed", "GET", "/v1/status", kBasic, 401},
      {"nor an act on a feed", "POST", "/calendar.ics", kBasic, 401},
  }));
  CAPTURE(row.name);
  Access access = made(kToken, "0.0.0.0");
  CHECK(refusal(access, request(row.method, row.target, {{"authorization", row.authorization}},
                                "192.168.1.20")) == row.status);
}

TEST_CASE("changes need the token on the machine itself, too") {
  Access access = made();
  for (const char* method : {"POST", "PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "get", ""}) {
    CAPTURE(method);
    CHECK(refusal(access, request(method, "/v1/batches/1/package")) == 401);
    CHECK(refusal(access, request(method, "/v1/batches/1/package", kBearer)) == 0);
  }
}

TEST_CASE("without a token nothing may be changed, and the answer says how to allow it") {
  Access access = made("");
  CHECK(refusal(access, request("GET", "/v1/status")) == 0);
  for (const Fields& fields :
       {Fields{}, Fields{{"authorization", "Bearer "}}, Fields{{"authorization", "Bearer x"}},
        Fields{{"cookie", "gylekeeper="}}, Fields{{"cookie", "gylekeeper=session-1"}}}) {
    const auto verdict = access.judge(request("POST", "/v1/batches/1/package", fields), kNow);
    REQUIRE(verdict.refusal);
    CHECK(verdict.refusal->status == 403);
    CHECK_THAT(verdict.refusal->body, Contains("token_file = "));
  }
  CHECK(sign_in(access, "").status == 403);
  CHECK(access.sessions() == 0);
  CHECK(access.read_only());
}

TEST_CASE("a session is opened with the token and may make changes until it ends") {
  Access access = made();
  CHECK(sign_in(access, kOther).status == 401);
  const HttpResponse opened = sign_in(access, kToken);
  CHECK(opened.status == 201);
  const std::string cookie = header(opened, "Set-Cookie");
  CHECK(cookie.rfind("gylekeeper=session-1;", 0) == 0);
  for (const char* part : {"; HttpOnly", "; SameSite=Strict", "; Path=/"}) CHECK_THAT(cookie, Contains(part));
  CHECK_THAT(cookie, !Contains("Secure"));

  const Fields own{{"cookie", "a=b; gylekeeper=session-1; c=d"}, {"x-gylekeeper", "1"}};
  CHECK(refusal(access, request("POST", "/v1/alerts/1/acknowledge", own)) == 0);
  CHECK(access.judge(request("GET", "/v1/display", own), kNow).signed_in);
  CHECK_FALSE(access.judge(request("GET", "/v1/display"), kNow).signed_in);
  for (const char* other : {"gylekeeper=session-2", "gylekeeper=", "gylekeeper", "xgylekeeper=session-1",
                            "gylekeeper=session-1x", "session-1"}) {
    CAPTURE(other);
    CHECK(refusal(access, request("POST", "/v1/alerts/1/acknowledge",
                                  {{"cookie", other}, {"x-gylekeeper", "1"}})) == 401);
  }
  const HttpRequest out = request("DELETE", "/session", own);
  const auto verdict = access.judge(out, kNow);
  REQUIRE_FALSE(verdict.refusal);
  CHECK_THAT(header(access.session(out, verdict, kNow), "Set-Cookie"), Contains("Max-Age=0"));
  CHECK(refusal(access, request("POST", "/v1/alerts/1/acknowledge", own)) == 401);
}

TEST_CASE("through TLS the cookie never goes without it") {
  Access access = made();
  HttpRequest asked = request("POST", "/session", {{"content-type", "application/json"}});
  asked.body = "{\"token\":\"" + kToken + "\"}";
  SECTION("the daemon's own") { asked.secure = true; }
  SECTION("a proxy's") { asked.headers["x-forwarded-proto"] = "https"; }
  CHECK_THAT(header(access.session(asked, {}, kNow), "Set-Cookie"), Contains("; Secure"));
}

TEST_CASE("a session ends when it was not used for thirty days") {
  Access access = made();
  sign_in(access, kToken);
  const HttpRequest asked =
      request("POST", "/v1/x", {{"cookie", "gylekeeper=session-1"}, {"x-gylekeeper", "1"}});
  CHECK(refusal(access, asked, kNow + days(30)) == 0);
  CHECK(refusal(access, asked, kNow + days(60)) == 0);
  CHECK(refusal(access, asked, kNow + days(90) + Duration(1)) == 401);
  CHECK(access.sessions() == 0);
}

TEST_CASE("there are never more than 64 sessions; the one that was unused for longest ends") {
  Access access = made();
  for (int i = 0; i < 65; ++i) sign_in(access, kToken, "127.0.0.1", kNow + seconds(i));
  CHECK(access.sessions() == 64);
  const auto status = [&](int n) {
    return refusal(access,
                   request("POST", "/v1/x",
                           {{"cookie", "gylekeeper=session-" + std::to_string(n)}, {"x-gylekeeper", "1"}}));
  };
  CHECK(status(1) == 401);
  CHECK(status(2) == 0);
  CHECK(status(65) == 0);
}

TEST_CASE("a request caused by another site's page is refused, token or not") {
  Access access = made(kToken, "127.0.0.1", {"cellar.local"});
  sign_in(access, kToken);
  const Fields session{{"cookie", "gylekeeper=session-1"}};
  const Fields asked{{"x-gylekeeper", "1"}};
  struct Row {
    const char* name;
    Fields fields;
    int status;
  };
  const auto row = GENERATE(values<Row>({
      {"our page",
       {{"sec-fetch-site", "same-origin"}, {"origin", "http://127.0.0.1:8480"}, {"x-gylekeeper", "1"}},
       0},
      {"our page in an old browser", {{"origin", "http://127.0.0.1:8480"}, {"x-gylekeeper", "1"}}, 0},
      {"our page by a proxy",
       {{"host", "cellar.local"}, {"origin", "https://cellar.local"}, {"x-gylekeeper", "1"}},
       0},
      {"JSON needs asking, too",
       {{"sec-fetch-site", "same-origin"}, {"content-type", "application/json"}},
       0},
      {"JSON with its encoding",
       {{"sec-fetch-site", "same-origin"}, {"content-type", "Application/JSON; charset=utf-8"}},
       0},
      {"by hand", {{"sec-fetch-site", "none"}, {"x-gylekeeper", "1"}}, 0},
      {"another site", {{"sec-fetch-site", "cross-site"}, {"x-gylekeeper", "1"}}, 403},
      {"another port of the same site", {{"sec-fetch-site", "same-site"}, {"x-gylekeeper", "1"}}, 403},
      {"another origin", {{"origin", "http://evil.example"}, {"x-gylekeeper", "1"}}, 403},
      {"another port", {{"origin", "http://127.0.0.1:9999"}, {"x-gylekeeper", "1"}}, 403},
      {"a hidden origin", {{"origin", "null"}, {"x-gylekeeper", "1"}}, 403},
      {"an origin that contradicts",
       {{"sec-fetch-site", "same-origin"}, {"origin", "http://evil.example"}, {"x-gylekeeper", "1"}},
       403},
      {"a form", {{"content-type", "text/plain"}}, 403},
      {"a form with fields", {{"content-type", "application/x-www-form-urlencoded"}}, 403},
      {"a form that resembles JSON", {{"content-type", "text/plain; application/json"}}, 403},
      {"nothing said", {}, 403},
      {"the field with another value", {{"x-gylekeeper", "0"}}, 403},
  }));
  CAPTURE(row.name);
  CHECK(refusal(access, request("POST", "/v1/batches/1/package", with(row.fields, session))) == row.status);
  CHECK(refusal(access, request("DELETE", "/session", with(row.fields, session))) == row.status);
  // The opening of a session, so that nobody can be signed in without knowing.
  CHECK(refusal(access, request("POST", "/session", row.fields)) == row.status);
}

TEST_CASE("a program with the token need not behave like a page") {
  Access access = made();
  CHECK(refusal(access, request("POST", "/v1/batches?vessel=left",
                                with(kBearer, {{"content-type", "application/toml"}}))) == 0);
  CHECK(refusal(access, request("POST", "/v1/x", with(kBearer, {{"origin", "http://evil.example"}}))) == 403);
}

TEST_CASE("other sites may link here but not embed anything from here") {
  Access access = made();
  const auto status = [&](const char* site, const char* mode, const char* dest) {
    return refusal(access,
                   request("GET", "/v1/status",
                           {{"sec-fetch-site", site}, {"sec-fetch-mode", mode}, {"sec-fetch-dest", dest}}));
  };
  CHECK(status("same-origin", "cors", "empty") == 0);
  CHECK(status("none", "navigate", "document") == 0);
  CHECK(status("cross-site", "navigate", "document") == 0);
  CHECK(status("cross-site", "navigate", "iframe") == 403);
  CHECK(status("cross-site", "no-cors", "image") == 403);
  CHECK(status("cross-site", "no-cors", "script") == 403);
  CHECK(status("same-site", "cors", "empty") == 403);
}

TEST_CASE("guessing is soon slowed down; the right token always counts, and sessions continue") {
  Access access = made(kToken, "0.0.0.0");
  sign_in(access, kToken);
  for (int i = 0; i < 5; ++i) CHECK(sign_in(access, kOther, "192.168.1.66").status == 401);
  const HttpResponse refused = sign_in(access, kOther, "192.168.1.66");
  CHECK(refused.status == 429);
  CHECK(header(refused, "Retry-After") == "60");
  const Fields guess{{"authorization", "Bearer " + kOther}};
  CHECK(refusal(access, request("GET", "/v1/status", guess, "192.168.1.66")) == 429);
  CHECK(refusal(access, request("GET", "/v1/status", guess, "192.168.1.20")) == 401);
  for (const char* peer : {"192.168.1.66", "192.168.1.20"}) {
    CHECK(refusal(access, request("GET", "/v1/status", kBearer, peer)) == 0);
    CHECK(refusal(access, request("GET", "/v1/status", {{"cookie", "gylekeeper=session-1"}}, peer)) == 0);
    CHECK(sign_in(access, kToken, peer).status == 201);
  }
  CHECK(sign_in(access, kOther, "192.168.1.66", kNow + minutes(1)).status == 401);
}

TEST_CASE("the right token counts while thousands of addresses guess") {
  Access access = made(kToken, "0.0.0.0");
  for (int i = 0; i < 3000; ++i) {
    const std::string peer = "10.0." + std::to_string(i / 250) + "." + std::to_string(i % 250);
    sign_in(access, kOther, peer);
  }
  CHECK(sign_in(access, kToken, "192.168.1.20").status == 201);
  CHECK(sign_in(access, kOther, "192.168.1.20").status == 401);
}

TEST_CASE("a planted cookie of the same name ends no session") {
  Access access = made(kToken, "0.0.0.0");
  REQUIRE(sign_in(access, kToken).status == 201);
  const std::string cookies =
      GENERATE("gylekeeper=planted; gylekeeper=session-1", "gylekeeper=session-1; gylekeeper=x",
               "gylekeeper=; gylekeeper; gylekeeper=a; b=c; gylekeeper=session-1; gylekeeper=z");
  CAPTURE(cookies);
  const Fields with_cookies{{"cookie", cookies}, {"x-gylekeeper", "1"}};
  const HttpRequest act = request("POST", "/v1/batches/1/package", with_cookies, "192.168.1.20");
  const auto verdict = access.judge(act, kNow);
  CHECK((!verdict.refusal && verdict.signed_in));
  // Signing out ends our session whatever cookie is beside it.
  const HttpRequest out = request("DELETE", "/session", with_cookies, "192.168.1.20");
  CHECK(access.session(out, access.judge(out, kNow), kNow).status == 200);
  CHECK(access.sessions() == 0);
  CHECK(refusal(access, act) == 401);
}

TEST_CASE("planted cookies alone sign nobody in") {
  Access access = made(kToken, "0.0.0.0");
  REQUIRE(sign_in(access, kToken).status == 201);
  for (const char* cookies : {"gylekeeper=a; gylekeeper=b", "gylekeeper=", "xgylekeeper=session-1",
                              "gylekeeper2=session-1", "gylekeeper=session-1x; gylekeeper=session-"}) {
    CHECK(refusal(access, request("GET", "/v1/status", {{"cookie", cookies}}, "192.168.1.20")) == 401);
  }
}

TEST_CASE("a body without a token is refused with the reason and does not count as a try") {
  Access access = made();
  for (const char* body :
       {"", "{", "[]", "null", "\"token\"", "{\"token\":1}", "{\"Token\":\"x\"}", "\xff"}) {
    CAPTURE(body);
    HttpRequest asked = request("POST", "/session", {{"content-type", "application/json"}});
    asked.body = body;
    CHECK(access.session(asked, access.judge(asked, kNow), kNow).status == 400);
  }
  CHECK(sign_in(access, kToken).status == 201);
}

TEST_CASE("every answer forbids scripts that are not ours") {
  std::map<std::string, std::string> fields;
  for (const auto& [name, value] : security_headers()) fields[name] = value;
  CHECK_THAT(fields["Content-Security-Policy"],
             Contains("default-src 'self'") && Contains("frame-ancestors 'none'") && !Contains("unsafe"));
  CHECK(fields["X-Content-Type-Options"] == "nosniff");
  CHECK(fields["Referrer-Policy"] == "no-referrer");
  CHECK(fields["Cross-Origin-Opener-Policy"] == "same-origin");
  CHECK(fields["Cross-Origin-Resource-Policy"] == "same-origin");
}
