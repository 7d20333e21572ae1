// swift-tools-version:5.9
// The generated binding as a Swift package. Sources, headers and library come from
// `cargo xtask bindings` and are not committed.
import PackageDescription

let package = Package(
    name: "Slackwater",
    platforms: [.iOS(.v16), .macOS(.v13)],
    products: [.library(name: "Slackwater", targets: ["Slackwater"])],
    targets: [
        // The C side: both headers and a module map.
        .systemLibrary(name: "SlackwaterFFI", path: "Sources/SlackwaterFFI"),
        .target(
            name: "Slackwater",
            dependencies: ["SlackwaterFFI"],
            path: "Sources/Slackwater",
            linkerSettings: [
                // The library of the computer that built it, for tests there. A phone needs one
                // built for the phone.
                .unsafeFlags(["-L\(Context.packageDirectory)/lib"]),
                .linkedLibrary("slackwater"),
            ]
        ),
    ]
)
