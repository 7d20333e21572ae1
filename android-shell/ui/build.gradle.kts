plugins {
    alias(libs.plugins.android.library)
    alias(libs.plugins.kotlin.compose)
}

android {
    namespace = "org.slackwater.ui"
    compileSdk = 36
    defaultConfig { minSdk = 26 }
    compileOptions {
        sourceCompatibility = JavaVersion.VERSION_17
        targetCompatibility = JavaVersion.VERSION_17
    }
    buildFeatures { compose = true }
    sourceSets["main"]
        .kotlin
        .srcDirs(
            "src/main/kotlin",
            "src/bridge/kotlin",
            // Written by `cargo xtask bindings`, which comes before Gradle.
            "../../bindings/kotlin/src/generated/kotlin",
        )
}

dependencies {
    api(libs.compose.ui)
    api(libs.compose.foundation)
    api(libs.compose.material3)
    api(libs.coroutines.android)
    implementation(libs.jna) { artifact { type = "aar" } }
}
