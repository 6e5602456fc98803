using AftercarePortal.Demo;
using AftercarePortal.Demo.Wrenfold;

const string PortalUrl = "http://127.0.0.1:5080", PhoneUrl = "http://127.0.0.1:5081";
var folder = Path.GetFullPath(args is [var given, ..] ? given : "var/demo");
await using var demo = await WrenfoldDemo.Start(PortalUrl, PhoneUrl, folder);
Console.WriteLine($"""

    Handsets: {PhoneUrl}                write as Mira: my skin has gone white
    Staff:    {PortalUrl}/Escalations   sign in as iris, password: {Seed.Password}, then add the shown key to an authenticator
    Stop with Ctrl+C. The demo's data is in {folder}.
    """);
await demo.WaitForShutdown();
