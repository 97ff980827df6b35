//! What the server refuses, and that nobody can make it wait. No browser is needed.

use std::io::Write as _;
use std::net::{Ipv4Addr, TcpListener, TcpStream};

use serde_json::json;

use crate::asking::{connect, get, key, post, post_as, raw, shown, state};
use crate::common::Bench;
use crate::scene::{RECIPE, Scene};

trials! {
    Nothing: [
        only_this_machine_is_served,
        foreign_hosts_and_origins_are_refused,
        every_change_and_every_stream_needs_the_key,
        every_answer_has_a_strict_policy,
        no_path_of_a_request_reaches_the_disk,
        what_is_kept_gets_a_plain_name_in_the_recipes_folder,
        large_and_odd_requests_are_turned_away,
        slow_and_many_clients_hold_nobody_up,
        strangers_without_end_leave_a_place_to_who_has_the_key,
        a_body_that_does_not_come_is_not_waited_for,
        a_port_that_is_taken_is_told,
        what_does_not_go_with_a_page_is_wrong_usage,
        a_page_writes_nothing_by_itself,
        a_damaged_or_newer_shortlist_is_told_and_left,
        a_knob_of_a_parameter_that_goes_is_let_go_of,
    ],
}

fn only_this_machine_is_served() {
    let scene = Scene::new(RECIPE);
    // Another address of the same machine is not listened on.
    #[cfg(target_os = "linux")]
    assert!(TcpStream::connect(("127.0.0.2", scene.port())).is_err());
    assert_eq!(get(&scene, "/", &[]).status, 200);
}

fn foreign_hosts_and_origins_are_refused() {
    let scene = Scene::new(RECIPE);
    let port = scene.port();
    let key = key(&scene);
    for host in [
        "evil.example",
        "127.0.0.1",
        "127.0.0.1:1",
        "evil.example:80",
    ] {
        for path in ["/", "/page/main.js", "/api/events", "/nothing"] {
            let request = format!(
                "GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n{key}\r\n\r\n"
            );
            assert_eq!(raw(port, &request).status, 403, "{host} {path}");
        }
    }
    let no_host = format!("GET / HTTP/1.0\r\n{key}\r\n\r\n");
    assert_eq!(raw(port, &no_host).status, 403);
    for origin in ["http://evil.example", "null", "http://127.0.0.1:1"] {
        let origin = format!("Origin: {origin}");
        assert_eq!(get(&scene, "/api/shortlist", &[&key, &origin]).status, 403);
        let answer = post_as(&scene, "/api/knobs", "{}", &[&key, &origin]);
        assert_eq!(answer.status, 403, "{origin}");
    }
    assert_eq!(post_as(&scene, "/api/knobs", "{}", &[&key]).status, 403);
    let cross = get(
        &scene,
        "/api/shortlist",
        &[&key, "Sec-Fetch-Site: cross-site"],
    );
    assert_eq!(cross.status, 403);
    let own = format!("Origin: http://127.0.0.1:{port}");
    assert_eq!(
        post_as(&scene, "/api/knobs", "{}", &[&key, &own]).status,
        200
    );
}

fn every_change_and_every_stream_needs_the_key() {
    let scene = Scene::new(RECIPE);
    let id = shown(&scene);
    let origin = format!("Origin: http://127.0.0.1:{}", scene.port());
    let wrong = format!("X-Plyloom-Key: {}", "0".repeat(32));
    for lines in [vec![], vec![wrong.as_str()], vec!["X-Plyloom-Key:"]] {
        for path in [
            "/api/events".to_owned(),
            "/api/shortlist".to_owned(),
            format!("/api/tiles/{id}/0"),
            format!("/api/drawing/{id}/0"),
            format!("/api/pixels/{id}/0"),
            format!("/api/plan/{id}/0"),
        ] {
            assert_eq!(get(&scene, &path, &lines).status, 403, "{path}");
        }
        let mut lines = lines;
        lines.push(&origin);
        for path in ["knobs", "keep", "card", "star", "unstar"] {
            let answer = post_as(&scene, &format!("/api/{path}"), "{}", &lines);
            assert_eq!(answer.status, 403, "{path}");
        }
    }
    // Papers have a key of their own, and the page's does not open them.
    for key in ["", "x", scene.key()] {
        let path = format!("/paper/{id}/0/plan?key={key}");
        assert_eq!(get(&scene, &path, &[]).status, 403, "{path}");
    }
    assert_eq!(scene.bench.names("."), ["tray.rhai"]);
    // The page itself comes without a key, and tells nothing of the recipe.
    let page = get(&scene, "/", &[]);
    assert!(
        page.status == 200 && !page.body.contains("tray"),
        "{page:?}"
    );
    assert!(!page.body.contains(scene.key()));
}

fn every_answer_has_a_strict_policy() {
    let scene = Scene::new(RECIPE);
    let key = key(&scene);
    for path in [
        "/",
        "/page/main.js",
        "/page/page.css",
        "/sign.svg",
        "/nothing",
        "/api/events/x",
    ] {
        let head = get(&scene, path, &[&key]).head;
        // Content Security Policy Level 3 (W3C): what is not allowed falls to `default-src`.
        for line in [
            "content-security-policy: default-src 'none'; script-src 'self'; style-src 'self';",
            "x-content-type-options: nosniff",
            "cache-control: no-store",
            "referrer-policy: no-referrer",
        ] {
            assert!(head.contains(line), "{path} lacks {line}: {head}");
        }
        assert!(
            !head.contains("unsafe") && !head.contains("access-control"),
            "{head}"
        );
    }
}

fn no_path_of_a_request_reaches_the_disk() {
    let scene = Scene::new(RECIPE);
    let key = key(&scene);
    for path in [
        "/tray.rhai",
        "/page/tray.rhai",
        "/page/../tray.rhai",
        "/page/..%2ftray.rhai",
        "/page/%2e%2e%2ftray.rhai",
        "/page/..%5ctray.rhai",
        "/page/%00",
        "/page/%ff",
        "//etc/passwd",
        "/page//etc/passwd",
        "/page/main.js/",
        "/page/MAIN.JS",
        "/paper/../tray.rhai",
        "/api/tiles/../0",
        "/api/tiles/1/..%2f..%2ftray.rhai",
        "/api/drawing/99999999999999999999999/0",
    ] {
        let answer = get(&scene, path, &[&key]);
        assert!((400..500).contains(&answer.status), "{path}: {answer:?}");
        assert!(!answer.body.contains("ferry house"), "{path}");
    }
}

fn what_is_kept_gets_a_plain_name_in_the_recipes_folder() {
    let scene = Scene::with(
        Bench::new()
            .file("in/tray.rhai", "")
            .file("tray.rhai", RECIPE),
        &[],
    );
    let picture = shown(&scene);
    for name in [
        "../x",
        "in/x",
        "/tmp/x",
        ".x",
        "a b",
        "x\u{0}",
        "tray.rhai",
        "-x",
    ] {
        let body = json!({ "as": "choice", "picture": picture, "name": name });
        let answer = post(&scene, "/api/keep", &body);
        assert_eq!(answer.status, 409, "{name}: {answer:?}");
    }
    assert_eq!(scene.bench.names("."), ["in", "tray.rhai"]);
    let body = json!({ "as": "choice", "picture": picture, "name": "small" });
    assert_eq!(post(&scene, "/api/keep", &body).status, 200);
    let again = post(&scene, "/api/keep", &body);
    assert!(
        again.status == 409 && again.body.contains("already exists"),
        "{again:?}"
    );
    // A length in inches comes back as it was.
    let ran = scene.bench.run(&["preview", "small.pick", "--json"]);
    ran.ended(0).out_has("\"width_mm\": 152.4");
    for body in [
        json!({ "as": "file", "path": "x" }),
        json!({ "as": "choice", "picture": picture, "path": "x" }),
        json!([1]),
    ] {
        assert_eq!(post(&scene, "/api/keep", &body).status, 422, "{body}");
    }
}

fn large_and_odd_requests_are_turned_away() {
    let scene = Scene::new(RECIPE);
    let long = json!({ "set": { "rows": "1".repeat(400_000) } });
    assert_eq!(post(&scene, "/api/knobs", &long).status, 413);
    let port = scene.port();
    let lines = [key(&scene), format!("Origin: http://127.0.0.1:{port}")];
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    assert_eq!(post_as(&scene, "/api/knobs", "{", &lines).status, 400);
    assert_eq!(raw(port, "nonsense\r\n\r\n").status, 400);
    let id = shown(&scene);
    for query in [
        "width=100000000",
        "from=-1",
        "light=NaN",
        "x=1",
        "x=0&y=0&w=-5&h=1",
        "x=inf&y=0&w=1&h=1",
        "path=/etc",
    ] {
        let answer = get(
            &scene,
            &format!("/api/pixels/{id}/0?{query}"),
            &[&key(&scene)],
        );
        assert!(
            (400..500).contains(&answer.status) || query.starts_with("width"),
            "{query}: {}",
            answer.status
        );
    }
}

fn slow_and_many_clients_hold_nobody_up() {
    let scene = Scene::new(RECIPE);
    shown(&scene);
    let port = scene.port();
    let mut idle = Vec::new();
    for number in 0..60 {
        let mut stream = connect(port);
        let request = if number % 2 == 0 {
            // Listens, and never reads.
            format!(
                "GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{}\r\n\r\n",
                key(&scene)
            )
        } else {
            // Never ends its request.
            format!("GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nX-Slow: ")
        };
        stream.write_all(request.as_bytes()).expect("a request");
        if number % 2 == 0 {
            // Once something comes back, the page counts it among its listeners.
            stream.peek(&mut [0]).expect("an answer");
        }
        idle.push(stream);
    }
    for rows in 5..12 {
        let text = RECIPE.replace("\"rows\", 4", &format!("\"rows\", {rows}"));
        scene.bench.save_by_rename("tray.rhai", text);
        scene.page.until("tray.rhai changed: shows Tray, ");
    }
    // More pages than there is room for are told so, and the page itself still comes.
    let refused = get(&scene, "/api/events", &[&key(&scene)]);
    assert_eq!(refused.status, 503, "{refused:?}");
    assert_eq!(get(&scene, "/", &[]).status, 200);
    drop(idle);
}

fn strangers_without_end_leave_a_place_to_who_has_the_key() {
    let scene = Scene::new(RECIPE);
    shown(&scene);
    let port = scene.port();
    let mut page = connect(port);
    let events = format!(
        "GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{}\r\n\r\n",
        key(&scene)
    );
    page.write_all(events.as_bytes()).expect("a request");
    page.peek(&mut [0]).expect("an answer");
    // More than there are places of any kind, and none of them ends its request.
    let strangers: Vec<_> = (0..300)
        .map(|_| {
            let mut stream = connect(port);
            let half = format!("GET / HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nX-Slow: ");
            // Who is turned out meanwhile is told so by the system.
            let _ = stream.write_all(half.as_bytes());
            stream
        })
        .collect();
    // A new connection is answered, and the page that listens hears of what happens.
    let turned = post(&scene, "/api/knobs", &json!({ "set": { "rows": "7" } }));
    assert_eq!(turned.status, 200, "{turned:?}");
    let mut heard = String::new();
    let mut buffer = vec![0; 65536];
    while !heard.contains("\"rows\":\"7\"") {
        let read = std::io::Read::read(&mut page, &mut buffer).expect("events");
        assert!(read > 0, "the stream ended: {heard}");
        heard.push_str(&String::from_utf8_lossy(&buffer[..read]));
    }
    drop(strangers);
}

fn a_body_that_does_not_come_is_not_waited_for() {
    let scene = Scene::new(RECIPE);
    let port = scene.port();
    let request = format!(
        "POST /api/knobs HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nOrigin: http://127.0.0.1:{port}\r\n\
         Content-Type: application/json\r\nContent-Length: 20\r\n{}\r\n\r\n{{",
        key(&scene)
    );
    let answer = raw(port, &request);
    assert_eq!(answer.status, 408, "{answer:?}");
}

fn a_port_that_is_taken_is_told() {
    let taken = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).expect("a port");
    let port = taken.local_addr().expect("its address").port().to_string();
    Bench::new()
        .file("tray.rhai", RECIPE)
        .run(&["watch", "tray.rhai", "--page", "--port", &port])
        .ended(1)
        .err_has(&format!("port {port} is taken"))
        .err_has("--port");
}

fn what_does_not_go_with_a_page_is_wrong_usage() {
    let bench = Bench::new().file("tray.rhai", RECIPE);
    for more in [
        ["--page", "--out=x.svg"],
        ["--page", "--json"],
        ["--port=7000", "--set=a=1"],
    ] {
        let mut arguments = vec!["watch", "tray.rhai"];
        arguments.extend(more);
        bench.run(&arguments).ended(2);
    }
}

fn a_page_writes_nothing_by_itself() {
    let scene = Scene::new(RECIPE);
    shown(&scene);
    let body = json!({ "set": {}, "seed": "9", "panel": 0 });
    let card = post(&scene, "/api/card", &body);
    assert!(
        card.status == 200 && card.body.contains("image/svg+xml"),
        "{card:?}"
    );
    assert_eq!(scene.bench.names("."), ["tray.rhai"]);
    assert_eq!(scene.page.interrupt(), 0);
    assert_eq!(scene.bench.names("."), ["tray.rhai"]);
}

fn a_damaged_or_newer_shortlist_is_told_and_left() {
    for (text, why) in [
        ("{ broken", "not a shortlist"),
        (
            "{\"schema\":\"plyloom-shortlist\",\"version\":99}",
            "format 99",
        ),
    ] {
        let bench = Bench::new()
            .file("tray.rhai", RECIPE)
            .file("tray.shortlist.json", text);
        let scene = Scene::with(bench, &[]);
        shown(&scene);
        let answer = get(&scene, "/api/shortlist", &[&key(&scene)]);
        assert!(
            answer.status == 409 && answer.body.contains(why),
            "{answer:?}"
        );
        let star = post(&scene, "/api/star", &json!({ "seed": "5" }));
        assert!(star.status == 409 && star.body.contains(why), "{star:?}");
        assert_eq!(scene.bench.read("tray.shortlist.json"), text);
    }
}

fn a_knob_of_a_parameter_that_goes_is_let_go_of() {
    let scene = Scene::new(RECIPE);
    shown(&scene);
    post(
        &scene,
        "/api/knobs",
        &json!({ "set": { "rows": "8", "edge": "walnut" } }),
    );
    state(&scene, |s| s["knobs"]["set"]["rows"] == "8");
    let text = RECIPE.replace(
        "param(\"edge\", \"birch\", #{ choices: [\"birch\", \"walnut\"] })",
        "\"birch\"",
    );
    scene.bench.save_by_rename("tray.rhai", text);
    let state = state(&scene, |s| {
        s["knobs"]["set"] == json!({ "rows": "8" }) && s["busy"] == false
    });
    assert!(state["fault"].is_null(), "{state}");
    // A value out of range is told, and the picture stays.
    post(&scene, "/api/knobs", &json!({ "set": { "rows": "80" } }));
    let state = crate::asking::state(&scene, |s| !s["fault"].is_null());
    assert_eq!(state["fault"]["code"], "recipe::parameter_value");
    assert!(state["shown"].is_u64());
}
