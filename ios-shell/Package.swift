// swift-tools-version:5.9
import PackageDescription

let package = Package(
    name: "SlackwaterShell",
    platforms: [.iOS(.v16), .macOS(.v13)],
    products: [.library(name: "SlackwaterShell", targets: ["SlackwaterShell"])],
    dependencies: [.package(name: "Slackwater", path: "../bindings/swift")],
    targets: [
        .target(
            name: "SlackwaterShell",
            dependencies: [.product(name: "Slackwater", package: "Slackwater")]
        ),
    ]
)
