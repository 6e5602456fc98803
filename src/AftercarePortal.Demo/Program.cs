using AftercarePortal.Demo.LoopbackPhone;
using AftercarePortal.Demo.Wrenfold;
using AftercarePortal.Web;
using NodaTime;

// The portal with the invented clinic on SQLite, and a carrier on this machine instead of the real one.
const string Account = "AC00000000000000000000000000000000", Portal = "http://127.0.0.1:5080", Phone = "http://127.0.0.1:5081";
var token = Convert.ToHexString(System.Security.Cryptography.RandomNumberGenerator.GetBytes(16));
var folder = Directory.CreateDirectory(args is [var given, ..] ? given : "var/demo").FullName;

var portal = AftercarePortal.Web.Portal.Build(
[
    $"--urls={Portal}", "--Database:Kind=sqlite", $"--Database:Connection=Data Source={Path.Combine(folder, "wrenfold.db")}", $"--Keys:Folder={Path.Combine(folder, "keys")}",
    $"--Carrier:AccountSid={Account}", $"--Carrier:AuthToken={token}", $"--Carrier:PublicUrl={Portal}", $"--Carrier:BaseUrl={Phone}",
]);
await Seed.Run(portal.Services, SystemClock.Instance.GetCurrentInstant());

var carrier = new LoopbackCarrier(Account, token, new Uri(Portal), Portal);
var phone = WebApplication.Create([$"--urls={Phone}", "--Logging:LogLevel:Microsoft.AspNetCore=Warning"]);
carrier.Map(phone);
phone.MapPhonePage(carrier,
[
    ("Mira Sand, patient, treated today", Seed.PatientNumber, Seed.ClinicNumber),
    ("Iris Hale, first on call", Seed.FirstOnCall, Seed.PageNumber),
    ("Tomas Reed, second on call", Seed.SecondOnCall, Seed.PageNumber),
]);

await phone.StartAsync();
await portal.StartAsync();
Console.WriteLine($"""

    Handsets: {Phone}            write as Mira: my skin has gone white
    Staff:    {Portal}/Escalations   sign in as iris, password: {Seed.Password}, then add the shown key to an authenticator
    Stop with Ctrl+C. The demo's data is in {folder}.
    """);
await portal.WaitForShutdownAsync();
