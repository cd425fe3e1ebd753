declare module "go-exec";
